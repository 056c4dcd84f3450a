/** The tables, as Kysely sees them. Instants: epoch ms in integers; bodies: JSON text on every engine. */
import type { Generated, Kysely } from "kysely";
import type { Severity } from "../severity.js";

export type Tables = {
  /** One row a lane: the state as JSON and its version, checked at every commit. */
  lanes: { lane: string; version: number; state: string };
  /** What came in; stored before it is acknowledged. `failed`: the step threw; a person must look. */
  arrivals: {
    seq: Generated<number>;
    key: string;
    lane: string;
    received_at: number;
    /** The whole Arrival. */
    body: string;
    state: "waiting" | "done" | "failed";
    done_at: number | null;
    /** JSON list of reasons. */
    because: string | null;
  };
  /** What goes out; drained by rounds/deliveries.ts. key = arrival key + "#" + number. */
  sends: {
    seq: Generated<number>;
    key: string;
    lane: string;
    channel: string;
    to_addr: string;
    /** The whole Send. */
    body: string;
    safety: number;
    state: "waiting" | "sent" | "undelivered";
    made_at: number;
    tries: number;
    /** Tries whose outcome the wire did not tell. */
    unsure: number;
    next_at: number;
    /** Set while a try is under way: found at start, it is a try whose outcome nobody knows. */
    started_at: number | null;
    /** The process that tries, see `instances`. */
    started_by: string | null;
    sent_at: number | null;
    error: string | null;
    /** The channel's own id of the message, where it has one. */
    outside_id: string | null;
  };
  /** `kind`: the matter's; `set_by`: seq of the arrival that set it, so that setting again is a new due. */
  dues: {
    lane: string;
    key: string;
    at: number;
    generation: number;
    kind: string;
    matter: string;
    set_by: number;
  };
  /** The trip log: everything said and done, numbered per lane from 1. */
  events: {
    lane: string;
    n: number;
    at: number;
    /** "in" from a hirer · "out" to anyone · "staff" a desk action · "change" of a call-out or hire. */
    kind: "in" | "out" | "staff" | "change";
    /** The person of the hire whom it concerns; null for staff only. */
    person: string | null;
    channel: string | null;
    who: string;
    text: string;
    /** JSON, see EventMore in events.ts. */
    more: string;
  };
  /** For the lists of the desk; the truth is the lane's state. */
  hires: {
    id: string;
    lane: string;
    registration: string;
    van_type: string;
    surname: string;
    booker: string;
    pickup_at: number;
    return_at: number;
    zone: string;
    region: string;
    status: "booked" | "cancelled";
    return_record_at: number | null;
  };
  callouts: {
    hire: string;
    n: number;
    state: "nobody-yet" | "with" | "done";
    severity: Severity;
    kind: string;
    title: string;
    with_contact: string | null;
    opened_at: number;
    answer_by: number;
    promised_at: number | null;
    hear_from_by: number | null;
  };
  /** `n`: the reading's place in the hire's list, from 0. */
  readings: {
    hire: string;
    n: number;
    registration: string;
    at: number;
    by: string;
    odometer_km: number | null;
    oil: string | null;
    fluid: number | null;
    fuel: number | null;
    note: string | null;
  };
  vans: { registration: string; type: string; odometer_km: number | null };
  /** Which chat or number belongs to which person of a hire, the latest to join; which hire is meant: see phones.ts. */
  addresses: { channel: string; to_addr: string; lane: string; person: string };
  /** Telephone numbers of the people of hires, as dialled ("07700900500" or "+447700900500"). */
  phones: { number: string; lane: string; person: string };
  /** Unguessable links, stored hashed (SHA-256 hex). */
  links: {
    token_hash: string;
    hire: string;
    person: string;
    kind: "chat" | "cookie" | "calendar" | "card" | "card-cookie";
    made_at: number;
    revoked_at: number | null;
  };
  /** Reminders that need a reply; `wants`: JSON list of what has not been told yet. */
  replies: {
    hire: string;
    key: string;
    rule: string;
    wants: string;
    sent_at: number;
    again_at: number | null;
    answered_at: number | null;
  };
  /** What staff told many hires; `region` and `van_type` null: all. `joiners`: also given to whoever comes until `until_at`. */
  notices: {
    id: string;
    made_at: number;
    contact: string;
    title: string;
    text: string;
    region: string | null;
    van_type: string | null;
    until_at: number | null;
    joiners: number;
  };
  /** The hires of a notice; `told_at` null: not yet, or not at all since the hire is over. */
  notice_hires: {
    notice: string;
    hire: string;
    told_at: number | null;
    seen_at: number | null;
    seen_by: string | null;
  };
  /** Calendars of hires as they were last read. */
  calendar_entries: {
    hire: string;
    uid: string;
    due: number;
    title: string;
    text: string;
    sequence: number;
    changed_at: number;
    cancelled: number;
  };
  /** What was let go of hires; `files`: JSON list of those that are still on the disk. `by`: a contact, or "keeping". */
  forgotten: {
    key: string;
    hire: string;
    what: string;
    person: string | null;
    by: string;
    at: number;
    files: string;
    files_gone_at: number | null;
  };
  desk_sessions: {
    token_hash: string;
    contact: string;
    csrf: string;
    made_at: number;
    seen_at: number;
  };
  /** Processes that live on this database; one whose beat stands still is taken out by the others. */
  instances: { id: string; beat: number };
  /** Every version of what the desk changed of roster and contacts; the latest holds. `body`: FirmChanges as JSON. */
  rosters: { version: number; at: number; contact: string; says: string; body: string };
  /** Staff who sign in at the desk, by contact. `ended_at` null: may sign in. `hash`: see desk/signin.ts. */
  accounts: {
    contact: string;
    role: "duty" | "manager";
    hash: string;
    made_at: number;
    made_by: string;
    ended_at: number | null;
  };
  /** Tries to sign in of the last 90 days; `fits` 1: the password was right. */
  sign_ins: { n: Generated<number>; at: number; contact: string; address: string; fits: number };
  /** What was done at the desk's pages; rows are only added. No words of anybody stand in it. */
  trail: { n: Generated<number>; at: number; contact: string; what: string; about: string };
  /** Each ask that the desk kept for an entry or took back, numbered from 1 in the order of committing. */
  wordings: {
    version: number;
    at: number;
    contact: string;
    does: "keep" | "drop";
    entry: string;
    ask: string;
  };
  /** A record of handover or return while it is written: its form's fields as JSON. */
  record_drafts: { hire: string; kind: string; fields: string; by: string; saved_at: number };
  /** Photos of records. `kept_at`: the record that holds it was kept then; null: it was not, or it was taken out. */
  record_photos: {
    id: string;
    hire: string;
    kind: string;
    registration: string;
    side: string;
    type: string;
    bytes: number;
    /** Of the sealed original, hex. */
    sha256: string;
    /** 1 where there is a copy that browsers show. */
    shown: number;
    /** The camera's own clock, "2026-06-03T10:12:05" or with an offset. */
    taken_at: string | null;
    received_at: number;
    by: string;
    mark: string | null;
    kept_at: number | null;
  };
  /** Hires by the reference of the program that books them; `content`: what it pushed last, as JSON. */
  booking_refs: {
    reference: string;
    hire: string;
    content: string;
    version: number;
    pushed_by: string;
    pushed_at: number;
  };
  /** Programs that may push hires; the token itself is not stored. */
  program_tokens: {
    id: string;
    token_hash: string;
    name: string;
    contact: string;
    made_at: number;
    used_at: number | null;
    revoked_at: number | null;
    revoked_by: string | null;
  };
  /** Which changes of the tables this file has had. */
  migrations: { name: string; at: number };
};

/** A connection or a transaction on it. Store functions take it first and never close over one. */
export type Db = Kysely<Tables>;
