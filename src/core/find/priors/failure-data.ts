import { z } from "zod";
import type { Parsed, Problem } from "../../base/problem.js";
import { failureModeIds } from "../../board/failure-mode.js";
import { eventKinds, eventsSchema } from "./events.js";
import { familyModelsSchema } from "./family-model.js";
import { partFamilies } from "./fault-family.js";
import { fieldFactorsSchema } from "./field-data.js";
import { handbook217fSchema } from "./handbook-217f/constants.js";
import { modeSharesSchema } from "./mode-shares.js";
import { priorParameterNames, tradeFactorsSchema } from "./trade-factors.js";

/** Name of each data file, without folder and ending, and its schema. */
export const failureSchemas = {
  "handbook-217f": handbook217fSchema,
  "family-models": familyModelsSchema,
  "mode-shares": modeSharesSchema,
  "trade-factors": tradeFactorsSchema,
  "field-factors": fieldFactorsSchema,
  events: eventsSchema,
} as const;

const failureDataSchema = z.strictObject(failureSchemas);

/** Everything the priors are worked out from: the files of `data/failure`, by name. */
export type FailureData = z.infer<typeof failureDataSchema>;

/**
 * Checks the parsed contents of the files of `data/failure`, each by itself and against each other.
 * @param files parsed JSON by file name without folder and ending
 * @returns the data, and a problem for each flaw; with any error there is no value
 */
export function readFailureData(files: Readonly<Record<string, unknown>>): Parsed<FailureData> {
  const parsed = failureDataSchema.safeParse(files);
  if (!parsed.success) return { problems: parsed.error.issues.map(schemaProblem) };
  const problems = crossProblems(parsed.data);
  return problems.length > 0 ? { problems } : { value: parsed.data, problems };
}

function schemaProblem(issue: z.core.$ZodIssue): Problem {
  const [file, ...path] = issue.path.map(String);
  return problem("data-shape", file ?? "", issue.message, path.join("."));
}

function problem(code: string, file: string, message: string, field?: string): Problem {
  return {
    code,
    severity: "error",
    message,
    where: { file: `data/failure/${file}.json`, ...(field === undefined ? {} : { field }) },
  };
}

function crossProblems(data: FailureData): Problem[] {
  return [
    ...coverage(
      "family-models",
      partFamilies,
      data["family-models"].families.map((row) => row.family),
    ),
    ...coverage(
      "mode-shares",
      [...partFamilies, "socket"],
      data["mode-shares"].families.map((row) => row.family),
    ),
    ...coverage(
      "events",
      eventKinds,
      data.events.events.map((row) => row.event),
    ),
    ...coverage(
      "trade-factors",
      priorParameterNames,
      data["trade-factors"].parameters.map((row) => row.name),
    ),
    ...coverage(
      "mode-shares",
      failureModeIds,
      data["mode-shares"].manifestations.map((row) => row.mode),
    ),
    ...shareProblems(data),
    ...fieldProblems(data),
  ];
}

/** Every name that must be there, and each at most once. */
function coverage(file: string, needed: readonly string[], found: readonly string[]): Problem[] {
  const missing = needed.filter((name) => !found.includes(name));
  const twice = found.filter((name, index) => found.indexOf(name) !== index);
  return [
    ...missing.map((name) => problem("data-missing", file, `There is no entry for ${name}.`)),
    ...twice.map((name) => problem("data-twice", file, `There are two entries for ${name}.`)),
  ];
}

// Printed shares are rounded to two digits, so lists of up to seven may miss 1 by that much.
const printedSumTolerance = 0.035;
const sumTolerance = 1e-9;

function shareProblems(data: FailureData): Problem[] {
  const file = "mode-shares";
  const { distributions, families, manifestations } = data["mode-shares"];
  const problems: Problem[] = [];
  const expectSum = (what: string, values: readonly number[], tolerance: number): void => {
    const sum = values.reduce((a, b) => a + b, 0);
    if (Math.abs(sum - 1) > tolerance)
      problems.push(problem("data-sum", file, `${what} sum to ${sum}, not to 1.`));
  };
  for (const row of distributions) {
    expectSum(
      `The shares of ${row.id}`,
      row.shares.map((entry) => entry.share),
      printedSumTolerance,
    );
  }
  for (const row of families) {
    const distribution = distributions.find((entry) => entry.id === row.distribution);
    if (distribution === undefined) {
      problems.push(
        problem("data-missing", file, `${row.family} names no known distribution: ${row.distribution}.`),
      );
      continue;
    }
    problems.push(
      ...coverage(
        file,
        distribution.shares.map((entry) => entry.mode),
        row.map.map((entry) => entry.from),
      ),
    );
    for (const { from, to } of row.map) {
      expectSum(
        `${row.family}: the parts of "${from}"`,
        to.map((entry) => entry.part),
        sumTolerance,
      );
    }
  }
  for (const row of manifestations) {
    expectSum(
      `The manifestations of ${row.mode}`,
      [row.permanent, row.warmOnly, row.intermittent],
      sumTolerance,
    );
  }
  for (const row of data["trade-factors"].ageing) {
    expectSum(
      `The wear modes of ${row.family}`,
      row.modes.map((entry) => entry.part),
      sumTolerance,
    );
  }
  for (const { event, touch } of data.events.events) {
    if (touch !== undefined)
      expectSum(
        `The modes of ${event}`,
        touch.modes.map((entry) => entry.share),
        sumTolerance,
      );
  }
  return problems;
}

function fieldProblems(data: FailureData): Problem[] {
  const file = "field-factors";
  const { groups, counted, table } = data[file];
  const named = groups.flatMap((group) => group.classes);
  const last = groups
    .at(-1)
    ?.members.some((member) => member.families === undefined && member.sections === undefined);
  const problems = coverage(
    file,
    counted.classes.map((row) => row.class),
    named,
  );
  for (const name of named) {
    if (!table.classes.some((row) => row.class === name)) {
      problems.push(problem("data-missing", file, `A group counts the unknown class ${name}.`));
    }
  }
  if (last !== true)
    problems.push(problem("data-missing", file, "The last group must take whatever is left."));
  return problems;
}
