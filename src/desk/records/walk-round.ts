/** Photos on the page of a record: the walk round, and what the hirers sent by chat. Pure. */
import { type Instant, sayTime } from "../../calendar.js";
import { type Html, html } from "../../pages/html.js";
import type { PhotoRow } from "../../store/care/records.js";
import { canBeShown } from "../../wording/pictures.js";
import { tick, wrongOf } from "./controls.js";
import { unshown } from "./unshown.js";
import type { RecordView } from "./view.js";

/** "taken 10:12 by the camera's clock, received 10:13"; a day beside a clock where it is not the same day. */
function photoTimes(photo: PhotoRow, now: Instant, zone: string): string {
  const received = sayTime(photo.received_at as Instant, now, zone);
  if (photo.taken_at === null) return `time of taking not known, received ${received}`;
  const [day = "", clock = ""] = photo.taken_at.split("T");
  return `taken ${day} ${clock.slice(0, 5)} by the camera's clock, received ${received}`;
}

/** One photo with its times and the mark that it shows. */
function figure(v: RecordView, photo: PhotoRow, label: string): Html {
  const out = Boolean(v.fields[`drop-${photo.id}`]);
  return html`<li class="shot" data-photo="${photo.id}">${photo.shown ? html`<a href="/desk/records/photo/${photo.id}" target="_blank" rel="noopener"><img src="/desk/records/photo/${photo.id}" alt="${label}. Opens large." width="96" height="96" loading="lazy"></a>` : unshown(`/desk/records/photo/${photo.id}/original`, photo.type)}
<div><p class="hint">${photoTimes(photo, v.now, v.hire.booking.zone)}</p>
<label>Mark on it, if any <input name="mark-${photo.id}" maxlength="300" value="${v.fields[`mark-${photo.id}`] ?? ""}" placeholder="scratch, 10 cm, by the wheel"></label>
<label class="yes"><input type="checkbox" name="drop-${photo.id}" value="yes"${out ? html` checked` : ""}> <span>Leave this photo out</span></label></div></li>`;
}

/** Not HEIC: phones that keep photos so then hand out a JPEG, which every browser of the desk shows. */
const accept = "image/jpeg,image/png,image/webp";

/** One button a side takes a photo, another picks some that were taken before; photos go up at once and wait on the phone where there is no signal. */
export function walkRound(v: RecordView): Html {
  return html`<section class="step"><h2>Walk round</h2><noscript><p class="wrong">Photos need script in this browser.</p></noscript>
<ul class="sides">${v.book.handover.sides.map((side) => {
    const taken = v.photos.filter((p) => p.side === side.id);
    return html`<li data-side="${side.id}"><label class="shoot"><span>${side.say}</span> <b class="count">${taken.length === 0 ? "no photo" : taken.length}</b><input type="file" class="unseen" accept="${accept}" capture="environment"></label><label class="pick">${side.say}: from this phone <input type="file" class="unseen" accept="${accept}" multiple></label>
<ul class="shots">${taken.map((photo) => figure(v, photo, side.say))}</ul></li>`;
  })}</ul></section>`;
}

/** Photos by chat, for a van that stands at the key box. */
export function chatPhotos(v: RecordView): Html {
  const { zone } = v.hire.booking;
  const open = v.fields["way"] === "key-box" || v.wrong["chat"] !== undefined;
  return html`<details class="chat"${open ? html` open` : ""}><summary>Photos that they sent by chat: ${v.chat.length}</summary>${wrongOf(v, "chat")}
${v.chat.length > 0 ? html`<p class="hint">Tick those that show how the van was left: each is sealed with the record.</p>` : ""}
<ul class="shots">${v.chat.map((c) => {
    const sealed = `/desk/records/photo/${c.id}`;
    const path = c.file === undefined ? sealed : `/desk/photo/${c.file}?hire=${v.hire.id}`;
    return html`<li class="shot">${canBeShown(c.type) ? html`<a href="${path}" target="_blank" rel="noopener"><img src="${path}" alt="By ${c.who}, ${sayTime(c.at, v.now, zone)}. Opens large." width="96" height="96" loading="lazy"></a>` : unshown(c.file === undefined ? `${sealed}/original` : path, c.type)}<div><p class="hint">${c.who}, ${sayTime(c.at, v.now, zone)} ${c.caption}</p>
${tick(v, `chat-${c.id}`, "Belongs to the return")}</div></li>`;
  })}</ul></details>`;
}
