/** What the page of a record shows. Types only. */
import type { Instant } from "../../calendar.js";
import type { Hire } from "../../hires/hire.js";
import type { Book } from "../../knowledge/book.js";
import type { VanType } from "../../knowledge/placeholders.js";
import type { Html } from "../../pages/html.js";
import type { Unit } from "../../reminders/distance.js";
import type { PhotoRow } from "../../store/care/records.js";
import type { HandoverKind } from "../../vans/handover.js";
import type { Fields, Question } from "./read-record.js";

/** What stands in a form, and what is wrong with it. */
export type Shown = { fields: Fields; wrong: Readonly<Record<string, string>> };

/** A photo that a hirer sent by chat. `id`: as it is sealed; `file`: as its channel knows it, where the talk is still kept. */
export type ChatPhoto = {
  id: string;
  file?: string;
  type: string;
  at: Instant;
  who: string;
  caption: string;
};

export type RecordView = Shown & {
  kind: HandoverKind;
  hire: Hire;
  van: VanType;
  book: Book;
  values: ReadonlyMap<string, string | string[]>;
  unit: Unit;
  photos: readonly PhotoRow[];
  chat: readonly ChatPhoto[];
  /** What the hirers wrote by chat of late. */
  said: readonly { at: Instant; who: string; text: string }[];
  questions: readonly Question[];
  /** Who wrote in the draft last, and when. */
  draft?: { by: string; savedAt: Instant };
  /** When the record that stands here was kept last, epoch ms; "" where there is none. What is kept must be of the same. */
  base: string;
  /** What became of the record after the page that wanted to keep one was opened. */
  meanwhile?: string;
  /** In front of the form: what blocks the van. */
  before: Html;
  now: Instant;
};
