import { usualPolicies } from "../../src/core/find/practice/usual-policies.js";
import { type ConditionId, conditions, type GameRecord } from "./games.js";

/** Minutes of one policy, risk and money and handing over counted in. */
export interface PolicySummary {
  readonly policy: string;
  readonly games: number;
  readonly fixedShare: number;
  readonly meanMinutes: number;
  readonly ninetiethMinutes: number;
  readonly meanSteps: number;
}

/** How good the verdict was when measuring ended. */
export interface VerdictSummary {
  /** The true part is the likeliest. */
  readonly first: number;
  readonly firstThree: number;
  /** All parts that cannot be told from it outside are the likeliest, or among the first three. */
  readonly groupFirst: number;
  readonly groupFirstThree: number;
  readonly meanStepsBefore: number;
}

export interface ConditionSummary {
  readonly board: string;
  readonly condition: ConditionId;
  readonly policies: readonly PolicySummary[];
  readonly verdict: VerdictSummary;
  readonly bestRival: string;
  /** Mean minutes of the plan over those of the best rival. */
  readonly ratio: number;
}

/** Most that the plan may take of the best rival's minutes. */
export const targetRatio = 0.6;

export function summarise(
  board: string,
  condition: ConditionId,
  games: readonly GameRecord[],
): ConditionSummary {
  const own = games.filter((game) => game.condition === condition);
  const policies = ["plan", ...usualPolicies.map((policy) => policy.name)].map((name) =>
    summarisePolicy(
      name,
      own.filter((game) => game.policy === name),
    ),
  );
  const [plan, ...rivals] = policies;
  const best = rivals.reduce((a, b) => (b.meanMinutes < a.meanMinutes ? b : a));
  return {
    board,
    condition,
    policies,
    verdict: verdictOf(own.filter((game) => game.policy === "plan")),
    bestRival: best.policy,
    ratio: rounded((plan?.meanMinutes ?? Number.NaN) / best.meanMinutes, 3),
  };
}

function summarisePolicy(policy: string, games: readonly GameRecord[]): PolicySummary {
  const minutes = games.map((game) => game.totalMinutes).sort((a, b) => a - b);
  return {
    policy,
    games: games.length,
    fixedShare: rounded(
      share(games, (game) => game.fixed),
      3,
    ),
    meanMinutes: rounded(mean(minutes), 1),
    ninetiethMinutes: rounded(minutes[Math.ceil(0.9 * minutes.length) - 1] ?? Number.NaN, 1),
    meanSteps: rounded(mean(games.map((game) => game.path.length)), 1),
  };
}

function verdictOf(games: readonly GameRecord[]): VerdictSummary {
  const upTo = (place: number | undefined, limit: number): boolean => place !== undefined && place <= limit;
  return {
    first: rounded(
      share(games, (game) => upTo(game.place, 1)),
      3,
    ),
    firstThree: rounded(
      share(games, (game) => upTo(game.place, 3)),
      3,
    ),
    groupFirst: rounded(
      share(games, (game) => upTo(game.rank, 1)),
      3,
    ),
    groupFirstThree: rounded(
      share(games, (game) => upTo(game.rank, 3)),
      3,
    ),
    meanStepsBefore: rounded(mean(games.flatMap((game) => game.stoppedAfter ?? [])), 1),
  };
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

function share<T>(list: readonly T[], is: (item: T) => boolean): number {
  return list.filter(is).length / list.length;
}

function rounded(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}

const percent = (value: number): string => `${(100 * value).toFixed(0)} %`;

/** The page for people, as Markdown. */
export function renderPage(
  summaries: readonly ConditionSummary[],
  how: { readonly faults: number; readonly variantFaults: number; readonly pairs: string },
): string {
  const titles = new Map<string, string>([
    ["plan", "boardwake's plan"],
    ...usualPolicies.map((policy) => [policy.name, policy.title] as const),
  ]);
  const missed = summaries.filter((one) => one.ratio > targetRatio);
  const lines = [
    "# Practice: hidden faults, found by the plan and by usual ways of working",
    "",
    "Written by `npx tsx bench/practice.ts`; do not edit.",
    "",
    "Every number here comes from games against the **model**: a fault is hidden, and readings are answered from what",
    "the model says that fault does, with the errors of instruments and people drawn at random. It says how well the",
    "plan uses the model, not how well the model fits a real machine.",
    "",
    `Each board has ${how.faults} hidden faults under the engine's own model and ${how.variantFaults} under each other`,
    "condition, half drawn by failure rate, half evenly over the parts; only faults that somebody at the machine would",
    `notice. All ways of working meet the same fault and the same first report. The engine ran with ${how.pairs}.`,
    "",
    "Minutes are work at the bench plus risk and money, counted as `data/find/costs.json` does. Whoever has spent as",
    "many minutes as handing the machine over costs, hands it over and pays that too; so does the plan after 40 steps.",
    "",
    "Conditions: **readings at half and at double their minutes** change the costs of readings against repairs;",
    "**wrong readings** show something else than they should once in twenty, over and above the model's errors, and the",
    "engine is not told; in **a perturbed world** each failure family is e^N(0, 0.7) times as frequent, error rates are",
    "half to double, crashed programs behave otherwise, and one report in five is drawn evenly.",
    "",
    `## Target: at most ${targetRatio} of the best usual way's minutes`,
    "",
    missed.length === 0
      ? "Met on every board under every condition that was run (each has a section below)."
      : `**Missed** in ${missed.length} of ${summaries.length}: ${missed.map((one) => `${one.board}, ${titleOf(one.condition)} (${one.ratio.toFixed(2)})`).join("; ")}.`,
    "",
  ];
  for (const one of summaries) {
    lines.push(
      `## ${one.board}: ${titleOf(one.condition)}`,
      "",
      "| way of working | mean minutes | 90th percentile | machines fixed | steps |",
      "| --- | ---: | ---: | ---: | ---: |",
      ...one.policies.map(
        (policy) =>
          `| ${titles.get(policy.policy) ?? policy.policy} | ${policy.meanMinutes.toFixed(0)} | ${policy.ninetiethMinutes.toFixed(0)} | ${percent(policy.fixedShare)} | ${policy.meanSteps.toFixed(1)} |`,
      ),
      "",
      `Ratio to the best usual way (${titles.get(one.bestRival) ?? one.bestRival}): **${one.ratio.toFixed(2)}**.`,
      "",
      `When the plan first says to stop measuring, after ${one.verdict.meanStepsBefore.toFixed(1)} steps on average, the true part is the likeliest in ${percent(one.verdict.first)} and among the first three in ${percent(one.verdict.firstThree)}; counted at the worst place of all parts that cannot be told from it outside, in ${percent(one.verdict.groupFirst)} and ${percent(one.verdict.groupFirstThree)}.`,
      "",
    );
  }
  return `${lines.join("\n").trimEnd()}\n`;
}

function titleOf(condition: ConditionId): string {
  return conditions.find((one) => one.id === condition)?.title ?? condition;
}
