import { z } from "zod";
import type { Problem } from "../../core/base/problem.js";
import { boardSchema, sections } from "../../core/board/board.js";
import { ruleIds } from "../../core/board/check/finding.js";
import type { BoardCheck } from "../check-board.js";
import type { BoardImport } from "../import-board.js";
import type { ComparedBoards } from "../import-board-diff.js";
import type { ShownBoard } from "../show-board.js";
import { listOf, problemsField } from "./shapes.js";

/** What `boardwake board check --json` prints. */
export const checkOutputSchema = z.strictObject({
  board: z.string().describe("Id of the board."),
  title: z.string(),
  parts: z.number().int(),
  nets: z.number().int(),
  findings: listOf(
    z.strictObject({
      rule: z.enum(ruleIds),
      at: z.string().describe("A pin as `U7.12`, a part as `U7`, or a net."),
      message: z.string(),
      severity: z.enum(["error", "warning"]),
      explained: z
        .string()
        .optional()
        .describe("Why it is as it should be, if the board's `accepted` entries say so."),
    }),
  ),
  unexplained: z.number().int().describe("Findings that nothing explains; with any, the exit code is 1."),
  unsettled: listOf(z.strictObject({ net: z.string(), phase: z.string(), reason: z.string() })).describe(
    "Values of the healthy board that the model cannot account for; with any, the exit code is 1.",
  ),
  problems: problemsField,
});

/** What `boardwake board show --json` prints. */
export const showOutputSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  summary: z.string(),
  year: z.number().int().optional(),
  ground: z.string(),
  rails: boardSchema.shape.rails.readonly().describe("As in the board file."),
  parts: listOf(
    z.strictObject({
      ref: z.string(),
      type: z.string(),
      title: z.string().describe("The type in words."),
      value: z.string().optional(),
      section: z.enum(sections),
      socketed: z.boolean(),
      x: z.number().describe("Millimetres from the left edge, component side up."),
      y: z.number().describe("Millimetres from the top edge."),
      pins: z.record(z.string(), z.string()).readonly().describe("Net by pin number."),
    }),
  ),
  nets: listOf(
    z.strictObject({ name: z.string(), pins: listOf(z.string()).describe("Pins as `U7.12`.") }),
  ).describe("In the order of their names."),
  memory: boardSchema.shape.memory.readonly().describe("As in the board file."),
  phases: boardSchema.shape.phases.readonly().describe("As in the board file."),
  problems: problemsField,
});

/** What `boardwake board import --json` prints. */
export const importOutputSchema = z.strictObject({
  board: z.string().describe("Id of the board."),
  title: z.string(),
  parts: z.number().int(),
  nets: z.number().int(),
  pins: z.number().int().describe("Pins on a net."),
  chips: z.number().int().describe("Integrated circuits, recognised or not."),
  recognised: z.number().int().describe("Integrated circuits of a type that the library has."),
  unknown: listOf(z.strictObject({ ref: z.string(), value: z.string(), why: z.string() })).describe(
    "Components of which nobody knows what they are.",
  ),
  rails: z
    .record(z.string(), z.string())
    .readonly()
    .describe(
      "Net by the usual name of the supply: `GND`, `+5V`, `-12V`; of several at one voltage the one with most pins.",
    ),
  roles: z
    .strictObject({
      cpu: listOf(z.string()),
      ram: listOf(
        z.strictObject({
          part: z.string(),
          bits: listOf(z.number().int()).describe(
            "Data bits in the order of the data pins; empty if not known.",
          ),
        }),
      ),
      rom: listOf(z.string()),
    })
    .describe("References by what the parts are for."),
  warnings: listOf(z.string()).describe("Everything that was odd, one sentence each."),
  written: listOf(z.string()).describe("Files written, the board file first."),
  ownTypes: listOf(z.string()).describe(
    "Part types made for this board alone; they stand in the second file.",
  ),
  guesses: listOf(
    z.strictObject({
      subject: z.string().describe("Reference of a part, name of a net, or `board`."),
      taken: z.string().describe("What it was taken for."),
      reason: z.string(),
      certainty: z.string(),
    }),
  ).describe("Everything taken for granted."),
  problems: problemsField,
});

const sides = { before: z.string().optional(), after: z.string().optional() };

/** What `boardwake board diff --json` prints. */
export const diffOutputSchema = z.strictObject({
  same: z.boolean().describe("True if nothing differs; the exit code is then 0, else 1."),
  added: listOf(z.string()).describe("Parts that only the second board has."),
  removed: listOf(z.string()).describe("Parts that only the first board has."),
  renamedNets: listOf(z.strictObject({ before: z.string(), after: z.string() })).describe(
    "Nets with the same pins under another name.",
  ),
  pins: listOf(z.strictObject({ pin: z.string().describe("As `U7.12`."), ...sides })).describe(
    "Pins on another net, in names of the second board; a side is absent where the pin is open.",
  ),
  fields: listOf(
    z.strictObject({ field: z.string().describe("As `parts.U7.value` or `rails.+5V`."), ...sides }),
  ).describe("Everything else that differs; a side is absent where the field is."),
  problems: problemsField,
});

type Problems = z.infer<typeof problemsField>;

/** Output of a check. */
export function checkOutput(
  check: BoardCheck,
  problems: readonly Problem[],
): z.infer<typeof checkOutputSchema> {
  const findings = check.findings.map(({ explained, ...finding }) => ({
    ...finding,
    ...(explained === undefined ? {} : { explained }),
  }));
  return { ...check, findings, problems: plain(problems) };
}

/** Output of a board shown. */
export function showOutput(
  shown: ShownBoard,
  problems: readonly Problem[],
): z.infer<typeof showOutputSchema> {
  return { ...shown, problems: plain(problems) };
}

/** Output of an import. */
export function importOutput(
  made: BoardImport,
  problems: readonly Problem[],
): z.infer<typeof importOutputSchema> {
  return { ...made, problems: plain(problems) };
}

/** Output of a comparison. */
export function diffOutput(
  compared: ComparedBoards,
  problems: readonly Problem[],
): z.infer<typeof diffOutputSchema> {
  return { ...compared, problems: plain(problems) };
}

function plain(problems: readonly Problem[]): Problems {
  return problems.map(({ where, ...problem }) => ({ ...problem, where: { ...where } }));
}
