import type { ScoredHistory } from "./score.js";

/** Shares over the scored histories at one moment. */
interface Row {
  readonly readings: string;
  readonly histories: number;
  readonly first: number;
  readonly firstThree: number;
  readonly notListed: number;
}

/** The figures of a run. */
export interface Summary {
  readonly histories: number;
  readonly sketched: number;
  readonly scored: number;
  readonly left: readonly { readonly id: string; readonly why: string }[];
  readonly rows: readonly Row[];
  readonly wasted: number;
  readonly spared: number;
  readonly meanBlocks: number;
  readonly words: Readonly<
    Record<"blocks" | "symptoms" | "readings", { readonly all: number; readonly unmatched: number }>
  >;
  readonly misses: readonly {
    readonly id: string;
    readonly before: number | null;
    readonly after: number | null;
  }[];
}

const mostReadings = 5;

/** Sums a run up; histories in which nothing was left to score are named. */
export function summarise(all: readonly ScoredHistory[]): Summary {
  const scored = all.filter(({ left }) => left === undefined);
  const at = (history: ScoredHistory, readings: number): number | undefined => {
    const standing = history.standings.findLast((one) => one.readings <= readings);
    return standing?.place;
  };
  const row = (readings: string, places: readonly (number | undefined)[]): Row => ({
    readings,
    histories: places.length,
    first: places.filter((place) => place === 1).length,
    firstThree: places.filter((place) => place !== undefined && place <= 3).length,
    notListed: places.filter((place) => place === undefined).length,
  });
  const withAtLeast = (count: number): ScoredHistory[] =>
    scored.filter(({ standings }) => (standings.at(-1)?.readings ?? 0) >= count);
  const rows = [
    row(
      "symptoms alone",
      scored.map((history) => at(history, 0)),
    ),
    ...Array.from({ length: mostReadings }, (_, i) =>
      row(
        `after reading ${i + 1}`,
        withAtLeast(i + 1).map((history) => at(history, i + 1)),
      ),
    ).filter(({ histories }) => histories > 0),
    row(
      "before the cure",
      scored.map(({ standings }) => standings.at(-1)?.place),
    ),
    row(
      "fixed order, for comparison",
      scored.map(({ fixedOrder }) => fixedOrder),
    ),
  ];
  const count = (of: (history: ScoredHistory) => number): number =>
    all.reduce((sum, one) => sum + of(one), 0);
  const words = (name: "blocks" | "symptoms" | "readings") => ({
    all: count((one) => one.words[name].all),
    unmatched: count((one) => one.words[name].unmatched.length),
  });
  return {
    histories: all.length,
    sketched: scored.length,
    scored: scored.length,
    left: all.flatMap(({ id, left }) => (left === undefined ? [] : [{ id, why: left }])),
    rows,
    wasted: scored.reduce((sum, { wasted }) => sum + wasted, 0),
    spared: scored.reduce((sum, { spared }) => sum + spared, 0),
    meanBlocks: scored.reduce((sum, { blocks }) => sum + blocks, 0) / Math.max(1, scored.length),
    words: { blocks: words("blocks"), symptoms: words("symptoms"), readings: words("readings") },
    misses: scored
      .map(({ id, standings }) => ({
        id,
        before: standings[0]?.place ?? null,
        after: standings.at(-1)?.place ?? null,
      }))
      .filter(({ after }) => after === null || after > 3),
  };
}

const share = (part: number, whole: number): string =>
  whole === 0 ? "-" : `${part} (${Math.round((100 * part) / whole)} %)`;

/** The page docs/benches/histories.md. */
export function renderPage(summary: Summary): string {
  const { rows, words, left, misses } = summary;
  const said = (name: keyof Summary["words"]): string => {
    const { all, unmatched } = words[name];
    return `| ${name} | ${all} | ${share(all - unmatched, all)} | ${unmatched} |`;
  };
  return `# Real repair histories

Written by \`npx tsx bench/histories.ts --page docs/benches/histories.md\`; edit \`bench/histories\`, not this page.

${summary.histories} histories of real repairs, in our own words (source \`repair-histories\`; they are not part of the repository). For
each a board is [sketched](../guide/sketching.md) from its list of blocks, its symptoms are entered, then its readings in
order. After each the blocks of the board are ranked by the chance that a fault is in one of them: ${summary.meanBlocks.toFixed(1)} blocks on
average, those of \`data/failure/field-factors.json\` (dynamic RAM, ROM, decoding logic, supply on the board, sockets ...). A
history scores if a block that was really faulty, and is not repaired yet, stands first, or among the first three. The step
that cured the machine is not entered.

Field priors come from the same kind of histories; **the history being scored is left out of them**. One vocabulary
(\`data/sketch/history-phrases.json\`) turns words into blocks, symptoms and log entries for all of them; nothing in it names a
case. It was written with these histories in view, so others will leave more words unmatched.

## Rank of a true block

| when | histories | first | among the first three | on no list |
| --- | --- | --- | --- | --- |
${rows
  .map(
    (row) =>
      `| ${row.readings} | ${row.histories} | ${share(row.first, row.histories)} | ${share(row.firstThree, row.histories)} | ${row.notListed} |`,
  )
  .join("\n")}

Rows after a reading count only histories with that many log entries that could be used; they are different, harder
machines than all together, so the rows do not form one curve. The fixed order takes the blocks of the board as often as they were
faulty in the other histories, whatever is seen: what readings and symptoms have to beat.

## Good parts

${summary.wasted} good parts were replaced in vain in the scored histories. In ${summary.spared} of these the ranking had a true block
above the block that was changed, so that whoever follows it would have spared them. Guesses whose words could not be matched count as
not spared.

## Words

| of | all | understood | not matched |
| --- | --- | --- | --- |
${said("blocks")}
${said("symptoms")}
${said("readings")}

Symptoms that were seen only after a repair are not entered, and not counted as unmatched; steps after the cure are not
counted. Unmatched readings are mostly
those that no kind of log entry holds: which picture a chip leaves behind, a trace followed by eye, a part taken out to see
what happens.

## Misses

${left.length === 0 ? "Every history was sketched." : `Not sketched: ${left.map(({ id, why }) => `${id} (${why})`).join("; ")}.`}

${misses.length} histories end with no true block among the first three (place before any reading, and at the end):

| history | before | after |
| --- | --- | --- |
${misses.map(({ id, before, after }) => `| ${id} | ${before ?? "not listed"} | ${after ?? "not listed"} |`).join("\n")}

Among them are faults the model does not have: an owner's own error that is no fault of a part (links never fitted, a wrong
type of memory fitted), and faults of which the history says only where they were found.

## What this does and does not show

- ${summary.histories} histories are few: a share of 50 % has a 95 % range of about 36 to 64 %.
- People write up long, interesting repairs. Ten-minute fixes are missing.
- Sketched boards are guesses. With the real circuit, readings count in full.
- A ranking of blocks is coarser than one of parts: which of eight memory chips it is takes one more step.
`;
}
