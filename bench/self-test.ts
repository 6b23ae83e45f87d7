/*
 * Why: a self-test is worth what it names. Puts every kind of fault into every chip of both demo boards, runs the self-test
 * on the bare processor and counts what the beacon said. Writes bench/results/self-test.json and docs/benches/self-test.md.
 */
import { fork } from "node:child_process";
import { writeFileSync } from "node:fs";
import { cpus } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { repositoryRoot } from "../scripts/generated-files.js";
import { bedOf, casesOf } from "./self-test/cases.js";
import { type CaseMessage, caseMessageSchema, type Order } from "./self-test/worker.js";

const { values } = parseArgs({
  options: {
    boards: { type: "string", default: "pellow-16,merrow" },
    processes: { type: "string", default: String(Math.max(1, cpus().length)) },
    // Every so many-th case only; a number that shares no factor with 4, 8 and the kinds leaves every kind and chip in.
    every: { type: "string", default: "1" },
  },
});
const [processes, every] = [Number(values.processes), Number(values.every)];
if (![processes, every].every((number) => Number.isInteger(number) && number > 0)) {
  console.error("--processes and --every take whole numbers above 0");
  process.exit(2);
}

interface Row {
  group: string;
  cases: number;
  named: number;
  missed: number;
  wrong: number;
  silent: number;
}

interface BoardResult {
  board: string;
  every: number;
  cases: number;
  seconds: number;
  processes: number;
  cycles: number;
  rows: Row[];
  /** Cases in which it named something else or nothing, with the signals. */
  others: string[];
}

function runShare(order: Order, onCase: (message: CaseMessage) => void): Promise<void> {
  return new Promise((resolve, reject) => {
    const child = fork(join(repositoryRoot, "bench/self-test/worker.ts"), { execArgv: ["--import", "tsx"] });
    child.on("message", (message) => onCase(caseMessageSchema.parse(message)));
    child.on("error", reject);
    child.on("exit", (code) =>
      code === 0 ? resolve() : reject(new Error(`a share ended with code ${code}`)),
    );
    child.send(order);
  });
}

async function runBoard(board: string): Promise<BoardResult> {
  const all = casesOf(bedOf(board)).length;
  const rows = new Map<string, Row>();
  const others: string[] = [];
  let done = 0;
  let cycles = 0;
  const started = performance.now();
  const take = (message: CaseMessage): void => {
    const { group, title, outcome, said } = message;
    const row = rows.get(group) ?? { group, cases: 0, named: 0, missed: 0, wrong: 0, silent: 0 };
    rows.set(group, row);
    row.cases += 1;
    row[outcome] += 1;
    cycles += message.cycles;
    if (outcome === "wrong" || outcome === "silent") others.push(`${group}: ${title}: ${said}`);
    done += 1;
    if (done % 100 === 0) console.error(`${board}: ${done} of about ${Math.ceil(all / every)}`);
  };
  const step = processes * every;
  await Promise.all(
    Array.from({ length: processes }, (_, k) => runShare({ board, first: k * every, step }, take)),
  );
  const seconds = Number(((performance.now() - started) / 1000).toFixed(1));
  return {
    board,
    every,
    cases: done,
    seconds,
    processes,
    cycles,
    rows: [...rows.values()],
    others: others.sort(),
  };
}

function renderPage(boards: readonly BoardResult[]): string {
  const lines = [
    "# What the self-test names",
    "",
    "Written by `npx tsx bench/self-test.ts`; do not edit. Each fault is put into the board's memory in emulation, and the",
    "self-test runs on the bare processor until its beacon has said everything. Cells: the first and the last word and two",
    "inside; for a fault of two cells the second is the next of the four (on the Z80 board another in the same page).",
    "Named: the right chip or line and nothing else.",
    "Missed: it said that all is good. The image tests the four pages that hold the cells; its code is that of the whole",
    "memory. March C- cannot see deceptive reads (DRDF, CFdrd) and part of the disturb couplings (CFds, CFwd): the test of the 6502",
    "board has a further pass for them, the Z80 board's has none in 2 KB. Silent: nothing was said within 30 million cycles.",
  ];
  for (const { board, cases, every: step, seconds, rows } of boards) {
    lines.push(
      "",
      `## ${board}`,
      "",
      `${cases} faults${step === 1 ? "" : `, every ${step}th of all`}, ${seconds} s on a busy machine.`,
      "",
    );
    lines.push(
      "| fault | cases | named | missed | wrong | silent |",
      "| --- | ---: | ---: | ---: | ---: | ---: |",
    );
    for (const { group, cases: of, named, missed, wrong, silent } of rows)
      lines.push(`| ${group} | ${of} | ${named} | ${missed} | ${wrong} | ${silent} |`);
  }
  return `${lines.join("\n")}\n`;
}

const boards: BoardResult[] = [];
for (const board of (values.boards ?? "").split(",")) boards.push(await runBoard(board));
writeFileSync(
  join(repositoryRoot, "bench/results/self-test.json"),
  `${JSON.stringify({ boards }, undefined, 2)}\n`,
);
writeFileSync(join(repositoryRoot, "docs/benches/self-test.md"), renderPage(boards));
console.log(JSON.stringify({ boards }));
