/** House rules: who may import whom, no cycles, sizes, names, and what pure folders may not call. Exit 1 on any breach. */
import { readdirSync, readFileSync, statSync } from "node:fs";
import { dirname, join, normalize, relative } from "node:path";
import { fileURLToPath } from "node:url";

const root = join(dirname(fileURLToPath(import.meta.url)), "..", "..");
const src = join(root, "src");
const leaves = [
  "post",
  "faults",
  "calendar",
  "phone",
  "severity",
  "yes-no",
  "lanes",
  "spelling",
  "same-json",
];
const pure = [
  "knowledge",
  "matching",
  "triage",
  "sums",
  "roster",
  "reminders",
  "callouts",
  "wording",
  "vans",
  "place",
  "bookings",
  "hires",
  "wordings",
  "numbers",
];

/** Folder (or top file) → what it may import besides itself. "types:" marks imports of types alone. */
const may: Record<string, string[]> = {
  post: ["calendar", "severity", "knowledge/firm", "vans/van", "vans/handover"],
  lanes: ["post"],
  faults: [],
  calendar: ["faults"],
  phone: [],
  severity: [],
  "yes-no": [],
  spelling: [],
  "same-json": [],
  "start-cache": [],
  "photo-copy": [],
  "keep-file": [],
  "public-address": [],
  log: [],
  "web-requests": [],
  password: [],
  proxies: ["log"],
  settings: ["faults", "public-address", "password"],
  knowledge: ["calendar", "faults", "severity", "start-cache"],
  matching: ["knowledge", ...leaves],
  triage: ["knowledge", ...leaves, "matching/words", "roster"],
  sums: ["knowledge", ...leaves],
  roster: ["knowledge", ...leaves],
  reminders: ["knowledge", ...leaves],
  callouts: ["knowledge", ...leaves],
  wording: ["knowledge", ...leaves],
  vans: ["knowledge", ...leaves, "sums"],
  place: [...leaves],
  bookings: ["knowledge", ...leaves],
  hires: [
    "bookings",
    "place",
    "knowledge",
    "matching",
    "triage",
    "sums",
    "roster",
    "reminders",
    "callouts",
    "wording",
    "vans",
    ...leaves,
  ],
  wordings: ["knowledge", "matching", "hires/understand", ...leaves],
  numbers: ["wordings", "matching/choose", ...leaves],
  store: [...leaves, "bookings", "roster/duty/refusal", ...pure.map((p) => `types:${p}`)],
  channels: [
    ...leaves,
    "log",
    "public-address",
    "knowledge",
    "wording",
    "place",
    "pages",
    "page-files",
    "photo-copy",
    "keep-file",
    "web-requests",
    "reminders/calendar",
    "types:store",
    ...pure.map((p) => `types:${p}`),
  ],
  desk: [
    ...leaves,
    "bookings",
    "hires/understand",
    "hires/care/planned",
    "hires/callouts/roadside",
    "hires/heard/last",
    "wordings",
    "numbers",
    "matching",
    "log",
    "page-files",
    "photo-copy",
    "keep-file",
    "password",
    "web-requests",
    "store",
    "wording",
    "place",
    "knowledge",
    "reminders",
    "vans",
    "roster",
    "triage/order",
    "triage/reached",
    "callouts/card",
    "callouts/steps",
    "callouts/whose",
    "pages",
    "channels/stream",
    "types:channels",
    ...pure.map((p) => `types:${p}`),
  ],
  api: [...leaves, "log", "web-requests", "store", "bookings", ...pure.map((p) => `types:${p}`)],
  pages: ["matching", "severity"],
  watch: [...leaves, "web-requests", "store", ...pure.map((p) => `types:${p}`), "types:rounds"],
  rounds: [...leaves, "log", "store", "channels/door", ...pure.map((p) => `types:${p}`)],
};
/** Files that are shells within a pure folder, and the pure files with a library of their own. */
const shells = new Set(["knowledge/read.ts"]);
const free = new Set([
  "house",
  "main",
  "open-service",
  "matcher-cache",
  "firm-now",
  "matcher-now",
  "page-files",
  "trial",
  "trial-thread",
  "providers",
  "warn-at-start",
]);
const badNames =
  /(^|\/)(utils?|helpers?|common|core|services?|managers?|types|misc|index)(\.ts|\/|$)/;
const badCalls: [RegExp, string][] = [
  [/\bDate\.now\(|new Date\(\)/, "a clock"],
  [/\bMath\.random\(|randomUUID|randomBytes/, "randomness"],
  [/\bprocess\.|\bconsole\./, "the process"],
  [/from "node:/, "a node: module"],
  [/\basync\b|\bawait\b/, "async"],
  [/^let /m, "module-level mutable state"],
];

/** What the oldest browsers that scripts/bundle.ts names lack and esbuild does not add. */
const tooNew =
  /\bAbortSignal\.(timeout|any)\b|\.(findLast|findLastIndex|toSorted|toReversed|toSpliced|requestSubmit|checkVisibility|showPopover|isWellFormed)\(|\b(Promise\.withResolvers|(Object|Map)\.groupBy|Array\.fromAsync|URL\.canParse|Intl\.Segmenter)\b|\(\?<[=!]/;

const problems: string[] = [];
const uncommented = (text: string) => text.replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, "");
const walk = (dir: string): string[] =>
  readdirSync(dir).flatMap((name) => {
    const path = join(dir, name);
    return statSync(path).isDirectory() ? walk(path) : name.endsWith(".ts") ? [path] : [];
  });
const files = walk(src).map((f) => relative(src, f));
const graph = new Map<string, string[]>();

for (const file of files) {
  const text = readFileSync(join(src, file), "utf8");
  const folder = file.includes("/") ? (file.split("/")[0] ?? "") : file.replace(/\.ts$/, "");
  const lines = text.split("\n").length;
  if (lines > 400 && !file.includes("migrations/"))
    problems.push(`src/${file}: ${lines} lines; 400 at most`);
  if (/\bas LaneId\b/.test(text) && file !== "lanes.ts")
    problems.push(`src/${file}: only lanes.ts makes the name of a lane`);
  if (badNames.test(file)) problems.push(`src/${file}: the name says nothing about what it holds`);
  const imports = [
    ...text.matchAll(
      /(?:^|\n)\s*(import|export)\s+(type\s+)?(?:[^"';]*?\sfrom\s+)?"([^"]+)"|\bimport\("([^"]+)"\)/g,
    ),
  ];
  const targets: string[] = [];
  for (const [, , typeOnly, from, dynamic] of imports) {
    const what = from ?? dynamic ?? "";
    if (what === "luxon" && file !== "calendar.ts")
      problems.push(`src/${file}: only calendar.ts imports luxon`);
    if (!what.startsWith(".")) continue;
    const target = normalize(join(dirname(file), what)).replace(/\.js$/, "");
    targets.push(`${target}.ts`);
    if (free.has(folder) || target.startsWith("..")) continue;
    const to = target.split("/")[0] ?? "";
    if (to === folder) {
      // Channels do not look into each other; what they share lies beside them.
      const [, mine] = file.split("/");
      const [, theirs, deeper] = target.split("/");
      if (
        folder === "channels" &&
        file.split("/").length > 2 &&
        deeper !== undefined &&
        mine !== theirs
      )
        problems.push(`src/${file}: a channel may not import ${target}`);
      continue;
    }
    const rules = may[folder] ?? [];
    const allowed =
      rules.includes(to) ||
      rules.includes(target) ||
      rules.includes(target.split("/").slice(0, 2).join("/")) ||
      (typeOnly && rules.includes(`types:${to}`));
    if (!allowed)
      problems.push(
        `src/${file}: ${folder} may not import ${target}${rules.includes(`types:${to}`) ? " (types only)" : ""}`,
      );
  }
  graph.set(file, targets);
  if ((pure.includes(folder) || folder === "calendar" || folder === "phone") && !shells.has(file)) {
    const code = uncommented(text);
    for (const [pattern, what] of badCalls)
      if (pattern.test(code)) problems.push(`src/${file}: a pure folder may not touch ${what}`);
  }
}
for (const dir of new Set(files.map((f) => dirname(f)))) {
  const n = files.filter((f) => dirname(f) === dir).length;
  if (n > 12 && dir !== "." && !dir.endsWith("/migrations"))
    problems.push(`src/${dir}: ${n} files; 12 at most`);
}

// The sources of the pages, and what is put together from them and from the search.
const bundles = join(root, "dist", "pages");
const phoneCode: [string, string][] = [
  ...walk(join(src, "pages")).map((f): [string, string] => [
    f,
    uncommented(readFileSync(f, "utf8")),
  ]),
  ...readdirSync(bundles)
    .filter((name) => name.endsWith(".js"))
    .map((name) => join(bundles, name))
    .map((f): [string, string] => [f, readFileSync(f, "utf8")]),
];
for (const [file, code] of phoneCode) {
  const found = tooNew.exec(code)?.[0];
  if (found) problems.push(`${relative(root, file)}: phones of five years have no ${found}`);
}

const state = new Map<string, "open" | "done">();
function visit(file: string, path: string[]): void {
  if (state.get(file) === "done") return;
  if (state.get(file) === "open") {
    problems.push(
      `cycle: ${[...path.slice(path.indexOf(file)), file].map((f) => `src/${f}`).join(" → ")}`,
    );
    return;
  }
  state.set(file, "open");
  for (const to of graph.get(file) ?? []) if (graph.has(to)) visit(to, [...path, file]);
  state.set(file, "done");
}
for (const file of files) visit(file, []);

for (const file of walk(join(root, "tests")).map((f) => relative(root, f))) {
  const text = readFileSync(join(root, file), "utf8");
  if (text.split("\n").length > 600) problems.push(`${file}: over 600 lines`);
  if (/\b(it|test)\("should /.test(text))
    problems.push(`${file}: a test's name is a rule in plain present tense`);
  if (/\b(it|test|describe)\.only\b/.test(text)) problems.push(`${file}: .only`);
}

const { scripts: commands } = JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as {
  scripts: Record<string, string>;
};
const programs = new Set(
  Object.values(commands).flatMap((command) => command.match(/(?<=dist\/)scripts\/[^ ]+(?=\.js)/g)),
);
for (const file of walk(join(root, "scripts")).map((f) => relative(root, f))) {
  const text = readFileSync(join(root, file), "utf8");
  if (text.split("\n").length > 400) problems.push(`${file}: over 400 lines`);
  if (badNames.test(file)) problems.push(`${file}: the name says nothing about what it holds`);
  if (/from "[^"]*\/tests\//.test(text)) problems.push(`${file}: scripts import nothing of tests`);
  if (dirname(file) === "scripts" && !programs.has(file.replace(/\.ts$/, "")))
    problems.push(`${file}: no command of package.json; parts of a command lie in a folder`);
}

const top = readdirSync(root).filter(
  (f) => !f.startsWith(".") && !["node_modules", "dist", "data"].includes(f),
);
const fixed = [
  "package.json",
  "package-lock.json",
  "tsconfig.json",
  "README.md",
  "DEVELOPERS.md",
  "src",
  "knowledge",
  "tests",
  "scripts",
];
for (const name of top) if (!fixed.includes(name)) problems.push(`${name}: the top level is fixed`);

for (const p of problems) console.error(p);
console.log(`house: ${files.length} source files, ${problems.length} problem(s)`);
process.exit(problems.length > 0 ? 1 : 0);
