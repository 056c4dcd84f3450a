/** What happens to a van: a fault reported, joined, cleared; a release; service. Pure. */
import type { Instant } from "../calendar.js";
import { worst } from "../severity.js";
import { isOpen, isOvertaken } from "./blocks.js";
import type { Mark, Report, Service, Van, VanAct, VanFault } from "./van.js";

const next = (rows: readonly { n: number }[]): number => Math.max(0, ...rows.map((r) => r.n)) + 1;
/** Reports of one fault that are kept whole: the first and the latest. */
const mostReports = 50;

/** A report joins the open fault of the same matter and raises it; without one it is a new fault. */
function report(van: Van, matter: string, title: string, told: Report): Van {
  const known = van.faults.find((f) => f.matter === matter && isOpen(f));
  if (!known) {
    const fault: VanFault = {
      n: next(van.faults),
      matter,
      title,
      severity: told.severity,
      reports: [told],
    };
    return { ...van, faults: [...van.faults, fault] };
  }
  const [first, ...rest] = known.reports;
  const joined: VanFault = {
    ...known,
    severity: worst(known.severity, told.severity),
    reports: [...(first ? [first] : []), ...rest.slice(2 - mostReports), told],
  };
  return { ...van, faults: van.faults.map((f) => (f === known ? joined : f)) };
}

type Acted = { van: Van; because: string };
const ignored = (van: Van, why: string): Acted => ({ van, because: `ignored: ${why}` });

function service(van: Van, act: Extract<VanAct, { do: "service" }>): Acted {
  const { n, what, dueOn, dueKm } = act;
  const due = {
    ...(dueOn === undefined ? {} : { dueOn }),
    ...(dueKm === undefined ? {} : { dueKm }),
  };
  if (n === undefined) {
    const row: Service = { n: next(van.service), what, done: [], ...due };
    return { van: { ...van, service: [...van.service, row] }, because: "service set" };
  }
  if (!van.service.some((s) => s.n === n)) return ignored(van, `no service ${n}`);
  const change = (s: Service): Service => (s.n === n ? { n, what, done: s.done, ...due } : s);
  return { van: { ...van, service: van.service.map(change) }, because: "service changed" };
}

/** Marks that are kept: those of the latest few changeovers; all stand in the van's log. */
const mostMarks = 40;

function ready(van: Van, act: Extract<VanAct, { do: "ready" }>, by: string, at: Instant): Acted {
  const { step, after, undo } = act;
  const same = (m: Mark) => m.step === step && m.after === after;
  const marks = van.ready ?? [];
  if (undo)
    return { van: { ...van, ready: marks.filter((m) => !same(m)) }, because: `${step}: undone` };
  const made = { step, after, at, by };
  return {
    van: { ...van, ready: [...marks, made].slice(-mostMarks) },
    because: `${step} by ${by}`,
  };
}

/** Without the words of a hire's reports and where it gave the van up; `names`: nor who they were. */
function forgotten(van: Van, { hire, names }: Extract<VanAct, { do: "forget" }>): Van {
  const of = (told: Report): Report =>
    told.hire === hire ? { ...told, words: "", ...(names ? { by: "" } : {}) } : told;
  const faults = van.faults.map((f) => ({ ...f, reports: f.reports.map(of) }));
  if (van.givenUp?.hire !== hire) return { ...van, faults };
  const { place: _gone, ...given } = van.givenUp;
  return { ...van, faults, givenUp: { ...given, ...(names ? { surname: "" } : {}) } };
}

/**
 * One act on a van, by a named person (`by`: a contact's id) or, for a report, by somebody on a hire. What
 * needs a name or a reason and has none changes nothing. Never throws.
 */
export function actOnVan(van: Van, act: VanAct, by: string, at: Instant): Acted {
  const named = by.trim() !== "";
  switch (act.do) {
    case "reported": {
      const { matter, title, severity, words, hire } = act;
      const told: Report = { at, by, severity, words: words.slice(0, 500), hire };
      return { van: report(van, matter, title, told), because: `fault ${matter}, ${severity}` };
    }
    case "note-fault": {
      const title = act.title.trim();
      if (!named || title === "") return ignored(van, "a fault needs a name and words");
      const told: Report = { at, by, severity: act.severity, words: "" };
      // Under the same words it is the same fault, perhaps worse than it was thought.
      const known = van.faults.find((f) => f.title === title && isOpen(f));
      const matter = known?.matter ?? `staff:${next(van.faults)}`;
      return { van: report(van, matter, title, told), because: `fault noted by ${by}` };
    }
    case "clear": {
      const fault = van.faults.find((f) => f.n === act.fault && isOpen(f));
      if (!fault || !named || act.what.trim() === "")
        return ignored(van, fault ? "clearing needs a name and what was done" : "not open");
      if (isOvertaken(van, act)) return ignored(van, "it was reported again meanwhile");
      const cleared = { ...fault, cleared: { at, by, what: act.what.trim() } };
      return {
        van: { ...van, faults: van.faults.map((f) => (f === fault ? cleared : f)) },
        because: `cleared by ${by}`,
      };
    }
    case "release": {
      if (!named || act.reason.trim() === "" || act.covers.length === 0)
        return ignored(van, "a release needs a name, a reason and what it covers");
      const { covers, seen } = act;
      const reason = act.reason.trim();
      const release = { at, by, reason, covers, ...(seen === undefined ? {} : { seen }) };
      return {
        van: { ...van, releases: [...van.releases, release] },
        because: `released by ${by}`,
      };
    }
    case "service":
      return named && act.what.trim() !== "" ? service(van, act) : ignored(van, "needs words");
    case "service-done": {
      const row = van.service.find((s) => s.n === act.n);
      if (!row || !named) return ignored(van, `no service ${act.n}`);
      const { odometerKm } = act;
      const done = { at, by, ...(odometerKm === undefined ? {} : { odometerKm }) };
      const after: Service = {
        n: row.n,
        what: row.what,
        done: [...row.done, done],
        ...(act.dueOn === undefined ? {} : { dueOn: act.dueOn }),
        ...(act.dueKm === undefined ? {} : { dueKm: act.dueKm }),
      };
      return {
        van: { ...van, service: van.service.map((s) => (s === row ? after : s)) },
        because: `service done by ${by}`,
      };
    }
    case "mended":
      if (!named) return ignored(van, "needs a name");
      return {
        van: { ...van, mended: { ...van.mended, [act.photo]: { at, by } } },
        because: `mark mended, says ${by}`,
      };
    case "ready":
      return named ? ready(van, act, by, at) : ignored(van, "needs a name");
    case "given-up": {
      const { hire, surname, from, place } = act;
      const where = place === undefined ? {} : { place };
      return {
        van: { ...van, givenUp: { hire, surname, from, at, ...where } },
        because: "given up",
      };
    }
    case "forget":
      return { van: forgotten(van, act), because: "words of a hire forgotten" };
    default: {
      const never: never = act;
      return ignored(van, String(never));
    }
  }
}
