/** What the service told who looks at the desk, and no card shows: on every page, for a while. Pure. */
import { after, type Instant, sayTime } from "../calendar.js";
import { hireIn } from "../lanes.js";
import { type Html, html } from "../pages/html.js";
import type { LaneId, Send } from "../post.js";

/** `n`: higher with each. */
export type Told = { n: number; at: Instant; lane: LaneId; send: Send };

/** So many minutes it stands there: what rings is to be done, the rest was read or is over. */
const minutes = { rings: 4 * 60, other: 30 };
const most = 5;
/** No text is shown for longer. */
export const toldMin = minutes.rings;

/** What stands on no card: not of an open call-out, and without the buttons of what the desk has a form for. */
export const toldBeside = (
  told: readonly Told[],
  open: readonly { hire: string; n: number }[],
  now: Instant,
): Told[] =>
  told
    .filter(
      ({ at, lane, send }) =>
        at >= after(now, -(send.ring ? minutes.rings : minutes.other)) &&
        !send.message.buttons?.length &&
        !open.some(({ hire, n }) => n === send.callout && hire === hireIn(lane)),
    )
    .slice(0, most);

/** The lines, the newest first; times in the firm's zone. Empty, but there, where there is nothing. */
export function toldHtml(told: readonly Told[], now: Instant, zone: string): Html {
  const line = ({ at, lane, send }: Told) => {
    const hire = hireIn(lane);
    const text = send.ring ? html`<b>${send.message.text}</b>` : send.message.text;
    return html`<p>${sayTime(at, now, zone)} ${text}${hire ? html` <a href="/desk/hires/${hire}">The hire</a>` : ""}</p>`;
  };
  return html`<aside id="told" class="noprint" aria-label="Told to you" data-fresh data-told="${told[0]?.n ?? 0}">${told.map(line)}</aside>`;
}
