/** Who may do what: a rule for every route that the service has. A route without one fails the test. */

/**
 * anybody · link: whoever knows an unguessable link · hirer: the cookie of a hirer's page · staff: a session of the
 * desk, and its word for every post · signed: a provider's signature · telegram: the webhook's secret · program: the
 * token of a booking program
 */
export type Who = "anybody" | "link" | "hirer" | "staff" | "signed" | "telegram" | "program";

/** Things of hire A, which somebody else must neither see nor change. */
export type Things = {
  hire: string;
  link: string;
  calendar: string;
  photo: string;
  /** The number of a message in the trip log. */
  words: number;
  recordPhoto: string;
  notice: string;
  registration: string;
};

export type Rule = {
  who: Who;
  /** Where it reaches a thing of hire A; else the route itself. */
  at?: (a: Things) => string;
  /** A form, or bytes; `json`: sent as such. One that whoever may send it would change something with. */
  form?: Record<string, string>;
  json?: object;
  bytes?: true;
  /** Even whoever may changes nothing by it alone. */
  looks?: true;
  /** Another hirer gets no thing of hire A by it: told as not there. */
  absent?: true;
};

let ids = 0;
/** Each form has an id of its own: one sent twice acts once. */
const id = (): string => `form-of-rule-${++ids}`;
const desk = (path: string) => (a: Things) => `/desk/hires/${a.hire}/${path}`;
const look: Rule = { who: "staff" };
const away = { kind: "away", contact: "morag", from: "2026-06-20T08:00", to: "2026-06-21T08:00" };
const shift = { op: "add", why: "sick", instead: "callum", ...away };

export const rules: Readonly<Record<string, Rule>> = {
  "get /": { who: "anybody" },
  "get /api/openapi.json": { who: "anybody" },
  // Pushed before it is asked for.
  "get /api/hires/:reference": { who: "program", at: () => "/api/hires/B-0" },
  "put /api/hires/:reference": {
    who: "program",
    at: () => "/api/hires/B-1",
    json: {
      ...{ van: "SX26 PRG", vanType: "wren", surname: "New", people: [{ name: "Nell" }] },
      ...{ pickup: "2026-06-20T12:00", return: "2026-06-25T12:00" },
    },
  },
  "delete /api/hires/:reference": { who: "program", at: () => "/api/hires/B-1" },
  // Any other method: told which there are.
  "every /api/hires/:reference": { who: "program", at: () => "/api/hires/B-1", looks: true },
  "get /app.webmanifest": { who: "anybody" },
  "get /healthz": { who: "anybody" },
  "get /readyz": { who: "anybody" },
  // Of this machine, as the tests are; tests/watch.test.ts tells who else.
  "get /metrics": { who: "anybody" },
  "get /^\\/pages\\/([A-Za-z0-9-]+\\.js)$/,/^\\/pages\\/([a-z-]+\\.(?:css|svg))$/,/^\\/(chat-worker\\.js)$/,/^\\/pictures\\/([a-z0-9-]+\\.svg)$/":
    { who: "anybody", at: () => "/pages/chat.css" },
  "get /^\\/pages\\/icon-(180|192|512)\\.png$/": {
    who: "anybody",
    at: () => "/pages/icon-180.png",
  },

  "post /telegram/123456789": { who: "telegram", json: {} },
  "post /hook/answers": { who: "signed", json: {} },
  "post /gateway/messages": {
    who: "signed",
    json: { id: "1", from: "+447700900501", text: "hello" },
  },
  "post /gateway/failures": { who: "signed", json: { id: "1", to: "+447700900501" } },

  "get /calendar/:file": { who: "link", at: (a) => `/calendar/${a.calendar}.ics` },
  "get /h/:token": { who: "link", at: (a) => `/h/${a.link}` },
  "post /h/:token": { who: "link", at: (a) => `/h/${a.link}`, form: {} },

  "get /chat": { who: "hirer" },
  "get /chat/messages": { who: "hirer" },
  "get /chat/stream": { who: "hirer" },
  "get /chat/calendar": { who: "hirer" },
  "get /chat/card": { who: "hirer" },
  "post /chat/card": { who: "hirer", form: {} },
  "get /chat/guide": { who: "hirer" },
  "get /chat/steps": { who: "hirer" },
  "get /chat/words": { who: "hirer" },
  "get /chat/pack": { who: "hirer" },
  "post /chat/calendar": { who: "hirer", form: {} },
  "post /chat/calendar/stop": { who: "hirer", form: {} },
  "post /chat/say": { who: "hirer", json: { id: id(), text: "where is the spare wheel" } },
  "post /chat/tap": { who: "hirer", json: { id: "tap", tap: "place:safe" } },
  "post /chat/place": { who: "hirer", json: { id: "place", lat: 57, lon: -4 } },
  "post /chat/photo": { who: "hirer", at: () => "/chat/photo?id=photo-2", bytes: true },
  "get /chat/photo/:id": { who: "hirer", at: (a) => `/chat/photo/${a.photo}`, absent: true },

  // Who signs in is told apart by the password; see the test of wrong ones.
  "post /desk/enter": { who: "anybody", form: { contact: "morag", password: "wrong" } },
  "get /desk": look,
  "get /desk/part": look,
  "get /desk/stream": look,
  "get /desk/waiting": look,
  "get /desk/hires": look,
  "get /desk/hires/new": look,
  "get /desk/hires/:id": { who: "staff", at: (a) => `/desk/hires/${a.hire}` },
  "get /desk/hires/:id/why": { who: "staff", at: (a) => `/desk/hires/${a.hire}/why?n=${a.words}` },
  "get /desk/hires/:id/sheet": { who: "staff", at: desk("sheet") },
  "get /desk/hires/:id/sheet.csv": { who: "staff", at: desk("sheet.csv") },
  "get /desk/hires/:id/pickup": { who: "staff", at: desk("pickup") },
  "get /desk/hires/:id/return": { who: "staff", at: desk("return") },
  "get /desk/find": { who: "staff", at: () => "/desk/find?q=Stonemarked" },
  "get /desk/today": look,
  "get /desk/today/part": look,
  "get /desk/hires/:id/call": { who: "staff", at: desk("call") },
  "get /desk/accounts": look,
  "get /desk/accounts/sure": { who: "staff", at: () => "/desk/accounts/sure?contact=morag&do=end" },
  "get /desk/password": look,
  "get /desk/trail": look,
  "get /desk/trail.csv": look,
  "get /desk/wordings": look,
  "get /desk/wordings/patch": look,
  "get /desk/numbers": look,
  "get /desk/numbers.csv": look,
  "get /desk/bookings": look,
  "get /desk/bookings/hires.csv": look,
  "get /desk/hires/:id/change": { who: "staff", at: desk("change") },
  "get /desk/hires/:id/data": { who: "staff", at: desk("data") },
  "get /desk/photo/:id": { who: "staff", at: (a) => `/desk/photo/${a.photo}?hire=${a.hire}` },
  "get /desk/records/photo/:photo": {
    who: "staff",
    at: (a) => `/desk/records/photo/${a.recordPhoto}`,
  },
  "get /desk/records/photo/:photo/original": {
    who: "staff",
    at: (a) => `/desk/records/photo/${a.recordPhoto}/original`,
  },
  "get /desk/vans": look,
  "get /desk/vans/:registration": {
    who: "staff",
    at: (a) => `/desk/vans/${encodeURIComponent(a.registration)}`,
  },
  "get /desk/replies": look,
  "get /desk/notices": look,
  "get /desk/notices/new": look,
  "get /desk/notices/:id": { who: "staff", at: (a) => `/desk/notices/${a.notice}` },
  "get /desk/roster": look,
  "get /desk/roster/contacts/:id": { who: "staff", at: () => "/desk/roster/contacts/callum" },

  "post /desk/hires/:id/pickup/draft": {
    who: "staff",
    at: desk("pickup/draft"),
    json: { fields: { keys: "2" } },
  },
  "post /desk/hires/:id/return/draft": {
    who: "staff",
    at: desk("return/draft"),
    json: { fields: { keys: "2" } },
  },
  "post /desk/hires/:id/pickup": { who: "staff", at: desk("pickup"), form: { remark: "changed" } },
  "post /desk/hires/:id/return": { who: "staff", at: desk("return"), form: { remark: "changed" } },
  "post /desk/hires/:id/pickup/photo": {
    who: "staff",
    at: desk("pickup/photo?id=AAAAAAAAAAAAAAAAAAAAA1&side=front"),
    bytes: true,
  },
  "post /desk/hires/:id/return/photo": {
    who: "staff",
    at: desk("return/photo?id=AAAAAAAAAAAAAAAAAAAAA2&side=front"),
    bytes: true,
  },
  "post /desk/hires/:id/card": { who: "staff", at: desk("card"), form: { person: "p2" } },
  "post /desk/hires/:id/link": { who: "staff", at: desk("link"), form: { person: "p2" } },
  "post /desk/hires/new": {
    who: "staff",
    form: {
      id: id(),
      registration: "SX26 NEW",
      type: "wren",
      pickup: "2026-06-20T12:00",
      return: "2026-06-25T12:00",
      zone: "Europe/London",
      region: "gb",
      lang: "en",
      surname: "New",
      booker: "Nell",
      phone: "07700 900502",
      others: "",
    },
  },
  // What these change when they are right, tests/desk shows.
  "post /desk/accounts": { who: "staff", form: { id: id() }, looks: true },
  "post /desk/password": { who: "staff", form: { id: id() }, looks: true },
  "post /desk/wordings/try": { who: "staff", form: { id: id() }, looks: true },
  "post /desk/wordings/keep": { who: "staff", form: { id: id() }, looks: true },
  "post /desk/wordings/drop": { who: "staff", form: { id: id() }, looks: true },
  "post /desk/bookings/import": {
    who: "staff",
    form: { csv: "reference\n", keep: "" },
    looks: true,
  },
  "post /desk/bookings/tokens": { who: "staff", form: { name: "program" } },
  "post /desk/bookings/tokens/revoke": { who: "staff", form: { token: "none" }, looks: true },
  "post /desk/hires/:id/change": {
    who: "staff",
    at: desk("change"),
    form: { id: id() },
    looks: true,
  },
  "post /desk/hires/:id/call": {
    who: "staff",
    at: desk("call"),
    form: { id: id(), person: "p1", about: "the kettle", outcome: "answered" },
  },
  "post /desk/hires/:id/data/copy": {
    who: "staff",
    at: desk("data/copy"),
    form: { id: id(), person: "p1" },
  },
  "post /desk/hires/:id/data/erase": {
    who: "staff",
    at: desk("data/erase"),
    form: { id: id(), person: "p1", what: "talk", sure: "yes" },
  },
  "post /desk/seen": { who: "staff", form: { lane: "chat:telegram:4711" } },
  "post /desk/act": {
    who: "staff",
    form: { id: id(), hire: "h1", do: "note", note: "changed" },
  },
  "post /desk/vans/:registration": {
    who: "staff",
    at: (a) => `/desk/vans/${encodeURIComponent(a.registration)}`,
    form: { id: id(), do: "note-fault", title: "Scratch", severity: "note" },
  },
  "post /desk/notices/change": { who: "staff", form: { title: "t", text: "t" }, looks: true },
  "post /desk/notices/look": { who: "staff", form: { title: "t", text: "t" }, looks: true },
  "post /desk/notices": {
    who: "staff",
    form: { id: id(), title: "Storm", text: "Stay low", hire: "h1", shown: "h1" },
  },
  "post /desk/notices/:id/end": {
    who: "staff",
    at: (a) => `/desk/notices/${a.notice}/end`,
    form: { id: id() },
  },
  "post /desk/roster/look": { who: "staff", form: shift, looks: true },
  "post /desk/roster/save": {
    who: "staff",
    form: { ...shift, id: id(), base: "0", gaps: "known" },
  },
  // On the version that the change of the roster before it has made.
  "post /desk/roster/contacts/:id": {
    who: "staff",
    at: () => "/desk/roster/contacts/callum",
    form: { id: id(), base: "1", role: "Workshop", phone: "07700 900102" },
  },
  "post /desk/duty": { who: "staff", form: { id: id(), do: "stay" } },
  // The last of all: it ends the session.
  "post /desk/leave": { who: "staff", form: {} },
};
