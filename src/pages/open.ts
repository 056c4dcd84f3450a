/** Opens the hire by itself: a preview that only fetches the page never gets here, a person does at once. */
const form = document.querySelector<HTMLFormElement>("#open");
if (form && document.visibilityState === "visible") form.submit();
else
  document.addEventListener(
    "visibilitychange",
    () => document.visibilityState === "visible" && form?.submit(),
    { once: true },
  );
