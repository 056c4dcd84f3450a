/** A photo or file that came before, its caption changed: what it says now is read; nothing is thanked for or passed on twice. */
import { describe, expect, it } from "vitest";
import { hireWith, type Play, toStaff } from "../kit/hire.js";

const from = { person: "p1", via: { channel: "telegram", to: "100" } } as const;
const file = { id: "f", kind: "image/jpeg", telegram: "photo" } as const;
const photo = (play: Play, caption: string | undefined, edited: boolean) =>
  play.arrives({
    ...{ kind: "photo", from, file },
    ...(caption === undefined ? {} : { caption }),
    ...(edited ? { edited } : {}),
  });

describe("a caption that was changed", () => {
  it("by a letter says nothing twice", () => {
    const play = photo(hireWith("curlew"), "how do I put the awinng up", false);
    expect(play.hirer().join()).toContain("Putting the awning up");
    photo(play, "how do I put the awning up", true);
    expect(play.sends).toEqual([]);
  });
  it("is read anew where it tells something else, a danger before all", () => {
    const play = photo(hireWith("curlew"), "how do I put the awning up", false);
    photo(play, "the awning is on fire, flames everywhere", true);
    expect(play.hirer()[0]?.split("\n")[0]).toContain("999 or 112");
    expect(play.hirer().join()).not.toContain("can see the photo");
  });
  it("reaches whoever has the matter in words, the photo not once more", () => {
    const play = hireWith("curlew").says("red oil can light came on");
    play.staff("morag", { do: "take", callout: 1 });
    photo(play, "here it is", false);
    expect(play.sends.filter((s) => s.message.file)).toHaveLength(1);
    photo(play, "here it is, under the sump", true);
    expect(play.sends.some((s) => s.message.file)).toBe(false);
    expect(toStaff(play).join()).toContain("under the sump");
  });
  it("and taken away, or of what cannot be read, brings no answer by itself", () => {
    const play = photo(hireWith("curlew"), "look at this", false);
    photo(play, undefined, true);
    expect(play.sends).toEqual([]);
    const what = "voice message";
    play.arrives({ kind: "unreadable", from, what, file, edited: true });
    expect(play.sends).toEqual([]);
    play.arrives({ kind: "unreadable", from, what, file });
    expect(play.hirer().join()).toContain("I cannot read a voice message");
  });
});
