/*
 * Why: says how many bench-minutes the plan saves against usual ways of working, on hidden faults answered from the
 * model; the one figure the plan exists for. Writes bench/results/practice.json and docs/benches/practice.md.
 */
import { fork } from "node:child_process";
import { appendFileSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { cpus } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { repositoryRoot } from "../scripts/generated-files.js";
import { conditions, type GameRecord, gameKey } from "./practice/games.js";
import { renderPage, summarise, targetRatio } from "./practice/summary.js";
import type { GameMessage, Order } from "./practice/worker.js";

const { values } = parseArgs({
  options: {
    faults: { type: "string", default: "500" },
    "variant-faults": { type: "string", default: "100" },
    boards: { type: "string", default: "pellow-16,merrow" },
    processes: { type: "string", default: String(Math.max(1, cpus().length)) },
    "pair-candidates": { type: "string", default: "12" },
    "pair-settle": { type: "string", default: "20" },
    json: { type: "string", default: join(repositoryRoot, "bench/results/practice.json") },
    page: { type: "string", default: join(repositoryRoot, "docs/benches/practice.md") },
    policies: { type: "string", default: "" },
    games: { type: "string", default: "" },
    resume: { type: "boolean", default: false },
  },
});

function whole(name: "faults" | "variant-faults" | "processes" | "pair-candidates" | "pair-settle"): number {
  const number = Number(values[name]);
  if (!Number.isInteger(number) || number < 0) {
    console.error(`--${name} must be a whole number, got '${values[name]}'`);
    process.exit(2);
  }
  return number;
}

const faults = whole("faults");
const variantFaults = Math.min(faults, whole("variant-faults"));
const pairLimits = { candidates: whole("pair-candidates"), settle: whole("pair-settle") };
const boards = values.boards.split(",").filter((board) => board !== "");
const parts = Math.max(1, Math.floor(whole("processes") / boards.length));
const policies = values.policies.split(",").filter((name) => name !== "");
const policyCount = policies.length || 4;
const total = boards.length * policyCount * (faults + (conditions.length - 1) * variantFaults);
const games = new Map<string, GameRecord[]>(boards.map((board) => [board, []]));
const started = performance.now();
let done = 0;

function isGame(message: unknown): message is GameMessage {
  return typeof message === "object" && message !== null && "board" in message && "game" in message;
}

/** Games of a file that an earlier run wrote, as far as this run wants them. */
function readGames(path: string): GameMessage[] {
  const wanted = (game: GameRecord): boolean =>
    game.seed < (game.condition === "own" ? faults : variantFaults);
  const lines = readFileSync(path, "utf8").split("\n");
  return lines.flatMap((line): GameMessage[] => {
    if (line === "") return [];
    const value: unknown = JSON.parse(line);
    return isGame(value) && wanted(value.game) ? [value] : [];
  });
}

/** Plays one share of a board's games in a process of its own. */
function run(order: Order): Promise<void> {
  return new Promise((resolve, reject) => {
    const worker = fork(fileURLToPath(new URL("./practice/worker.ts", import.meta.url)), [], {
      execArgv: ["--import", "tsx"],
      stdio: ["ignore", "inherit", "inherit", "ipc"],
    });
    worker.send(order);
    worker.on("message", (message: unknown) => {
      if (!isGame(message)) return;
      games.get(message.board)?.push(message.game);
      // Written as they come: a long run that is broken off has not been for nothing.
      if (values.games !== "") appendFileSync(values.games, `${JSON.stringify(message)}\n`);
      done += 1;
      if (done % (20 * policyCount) === 0 || done === total) {
        const seconds = (performance.now() - started) / 1000;
        console.error(`${done} of ${total} games, ${seconds.toFixed(0)} s`);
      }
    });
    worker.on("error", reject);
    worker.on("exit", (code) => {
      if (code === 0) resolve();
      else reject(new Error(`the games of ${order.board} ended with code ${code}`));
    });
  });
}

// A long run may be broken off and gone on with: games that the file of games holds are not played again.
if (values.resume) for (const { board, game } of readGames(values.games)) games.get(board)?.push(game);
else if (values.games !== "") write(values.games, "");
done = [...games.values()].reduce((sum, list) => sum + list.length, 0);

const orders = boards.flatMap((board) =>
  Array.from({ length: parts }, (_, part): Order => {
    const played = (games.get(board) ?? []).map(gameKey);
    return { board, part, parts, faults, variantFaults, pairLimits, policies, played };
  }),
);
await Promise.all(orders.map(run));

const summaries = boards.flatMap((board) => {
  // Processes finish in any order; the seeds put the games back in theirs.
  const own = [...(games.get(board) ?? [])].sort((a, b) => a.seed - b.seed);
  return conditions.flatMap(({ id }) =>
    own.some((g) => g.condition === id) ? [summarise(board, id, own)] : [],
  );
});
const results = {
  faults,
  variantFaults,
  pairLimits,
  // A run that went on where another was broken off does not know how long both took.
  ...(values.resume ? {} : { seconds: Number(((performance.now() - started) / 1000).toFixed(1)) }),
  targetRatio,
  targetMet: summaries.every((one) => one.ratio <= targetRatio),
  summaries,
};
function write(path: string, text: string): void {
  mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, text);
}
write(values.json, `${JSON.stringify(results, null, 1)}\n`);
const pairs = `at most ${pairLimits.candidates} faults in pairs and ${pairLimits.settle} pairs settled together`;
write(values.page, renderPage(summaries, { faults, variantFaults, pairs }));
console.log(JSON.stringify(results));
