import {
  checkOutputSchema,
  diffOutputSchema,
  importOutputSchema,
  showOutputSchema,
} from "../src/app/output/board-output.js";
import { beltOutputSchema, deckOutputSchema, toneOutputSchema } from "../src/app/output/deck-output.js";
import { findOutputSchema } from "../src/app/output/find-output.js";
import { practiceOutputSchema, symptomsOutputSchema } from "../src/app/output/other-output.js";
import { errorOutputSchema } from "../src/app/output/shapes.js";
import { sketchOutputSchema } from "../src/app/output/sketch-output.js";
import { boardSchema } from "../src/core/board/board.js";
import { overridesSchema } from "../src/core/board/recognise/overrides.js";
import { blocksSchema } from "../src/core/board/sketch/blocks.js";
import { knownSchema } from "../src/core/board/sketch/known.js";
import { caseSchema } from "../src/core/find/case/case.js";
import { jobLogPage } from "./format-job-log.js";
import type { GeneratedFile } from "./generated-files.js";
import { renderFields } from "./render-fields.js";

const made = `The tables are written from
the program's schemas by \`npx tsx scripts/write-format-docs.ts\`; edit those, not this page.`;

const list = (field: string): string => `list: object, see [board file](board.md#${field})`;

/** The pages of docs/formats as they should be now. */
export function renderFormatPages(): GeneratedFile[] {
  return [
    { path: "docs/formats/log.md", text: logPage() },
    { path: "docs/formats/job-log.md", text: jobLogPage(made) },
    { path: "docs/formats/board.md", text: boardPage() },
    { path: "docs/formats/blocks.md", text: blocksPage() },
    { path: "docs/formats/overrides.md", text: overridesPage() },
    { path: "docs/formats/find-output.md", text: findPage() },
    { path: "docs/formats/board-output.md", text: boardOutputPage() },
    { path: "docs/formats/deck-output.md", text: deckOutputPage() },
  ];
}

function logPage(): string {
  return `# Log

The log of one machine, as \`boardwake find --log\` reads it and a session saves it: a JSON file (RFC 8259, UTF-8) of up to
5 MB. Its JSON Schema is \`data/schema/case.json\`. ${made}

\`\`\`json
{
  "board": "pellow-16",
  "instruments": ["multimeter", "logic-probe"],
  "entries": [
    {"kind": "symptom", "what": "no-picture"},
    {"kind": "gate", "id": "supply", "state": "passed"},
    {"kind": "reading", "at": "U12.6", "with": "logic-probe", "shows": "pulsing", "when": "cold"},
    {"kind": "reading", "at": "rail:-5V", "with": "multimeter", "volts": -0.1},
    {"kind": "swap", "part": "U15", "result": "unchanged"}
  ]
}
\`\`\`

- **Order counts.** Entries stand in the order in which things were seen and done. What was seen before a repair is
  evidence of the machine before it.
- **Entries are only added.** A mistake is struck out by a later entry of kind \`strike\`; striking that one brings the
  first back.
- **What is not entered is unknown**, not absent.
- **Nothing is skipped.** An entry that names a part, pin, net, rail or symptom that the board does not have, or a value
  that cannot be, is a problem with file, line and field. The log is then refused as a whole.

## Places

| written | means |
| --- | --- |
| \`U12.6\`, \`U5.SYNC\` | a pin, by number or by name |
| \`rail:-5V\`, \`rail:+5 OUT\` | a rail, by voltage or by the name of its net |
| \`net:/CAS\` | a net |
| \`U12\` | a part |
| \`U4.7-U9.3\` | two pins, for continuity |
| \`board\` | the whole board, gone over by eye or finger |
| \`supply\` | the current drawn from the supply |

## Words an instrument shows

| with | at | words |
| --- | --- | --- |
| \`logic-probe\` | a pin or net | \`low\`, \`high\`, \`pulsing\`, \`floating\` |
| \`oscilloscope\` | a pin or net | the same, and \`between-levels\`, \`wrong-rate\`; on a rail \`smooth\`, \`rippled\` |
| \`multimeter\` | a rail | \`absent\`, \`too-low\`, \`good\`, \`too-high\`, or \`volts\` |
| \`multimeter\` | a pin or net | \`low\`, \`high\`, \`between-levels\`, or \`volts\` |
| \`multimeter\`, \`"when": "unpowered"\` | a net, to ground | \`short\`, \`normal\`, or \`ohms\` |
| \`multimeter\`, unpowered | two pins | \`rings\`, \`open\`, or \`ohms\` |
| \`multimeter\`, unpowered | a part with two legs | \`normal\`, \`open\`, \`short\` |
| \`multimeter\` | \`supply\` | \`normal\`, \`low\`, \`high\`, or \`amperes\` |
| \`finger\`, \`thermometer\` | a part | \`normal\`, \`hot\`, or \`degreesCelsius\` |
| \`eye\` | a part | \`clean\`, \`damage\` |
| \`finger\`, \`eye\` | \`board\` | the part that stands out, or \`nothing\` |
| \`twin\` | a pin or net | \`same\`, \`different\`: compared with a machine that works |
| \`chip-tester\` | a part | \`pass\`, \`fail\` |
| \`test-program\` | a part | \`named\`, \`not-named\` |

## Fields

${renderFields(caseSchema, { direction: "input", level: 3 })}`;
}

function boardPage(): string {
  return `# Board file

A machine's circuit as data: a JSON file (RFC 8259, UTF-8) of up to 50 MB. Its JSON Schema is \`data/schema/board.json\`.
\`boardwake board import\` makes one from netlists and layouts, \`boardwake board check\` says what is odd about one. Part types
are named from the installed library (\`data/part-types\`); types of one board alone stand in a second file beside it,
\`lamp.types.json\` for \`lamp.json\`, of the form \`data/schema/part-types.json\`. ${made}

Which levels a phase has to give is explained in
[level pairs and phases](../decisions/0002-level-pairs-and-phases.md); two complete boards are described under
[boards](../README.md#boards).

## Fields

${renderFields(boardSchema, { direction: "input", level: 3 })}`;
}

function blocksPage(): string {
  return `# Block description

A machine described by its blocks, for \`boardwake board sketch\`: a JSON file (RFC 8259, UTF-8) of up to 1 MB. Its JSON
Schema is \`data/schema/blocks.json\`. How to write one: [sketching a board](../guide/sketching.md). ${made}

\`\`\`json
{
  "formatVersion": 1,
  "id": "desk-computer",
  "title": "Desk computer",
  "processor": { "type": "Z80", "ref": "U1" },
  "roms": [{ "type": "2764", "count": 2, "refs": ["U4", "U5"] }],
  "ram": [{ "type": "4164", "chips": 8 }, { "type": "2114", "chips": 2, "use": "screen" }],
  "video": { "by": "discrete", "characterRom": "2716" },
  "io": [{ "type": "8255" }],
  "keyboard": {},
  "sound": { "by": "beeper" }
}
\`\`\`

## Fields

${renderFields(blocksSchema, { direction: "input", level: 3 })}
# Facts about a sketched board

What is known by now, for \`boardwake board sketch --known\`: a JSON file of up to 50 MB with the schema
\`data/schema/sketch-known.json\`. A board file serves as well: the pins of parts that both have are compared.

\`\`\`json
{
  "formatVersion": 1,
  "parts": [{ "sketched": "U13", "ref": "IC15" }],
  "connections": [{ "from": "U1.30", "to": "IC15.5", "shows": "open" }]
}
\`\`\`

## Fields of facts

${renderFields(knownSchema, { direction: "input", level: 3 })}`;
}

function overridesPage(): string {
  return `# Overrides

What you know better than the guesses of \`boardwake board import\`: a JSON file (RFC 8259, UTF-8) given with
\`--overrides\`. Its JSON Schema is \`data/schema/overrides.json\`. ${made}

\`\`\`json
{
  "types": { "U9": "16V8" },
  "jumpers": { "JP3": [["2", "3"]], "JP4": [] }
}
\`\`\`

## Fields

${renderFields(overridesSchema, { direction: "input", level: 3 })}`;
}

function findPage(): string {
  return `# Output of find, symptoms and practice

What the commands print with \`--json\`: one JSON object, with fractions rounded to six significant digits. Fields are
only ever added. ${made}

A log that cannot be used prints only \`problems\`, and the exit code is 3.

## \`boardwake find --board BOARD --log LOG --json\`

${renderFields(findOutputSchema, { direction: "output", level: 3, elsewhere: { "next[].outcomes[].entry": "[log entry](log.md#fields)" } })}
## \`boardwake find --symptoms --json\`

${renderFields(symptomsOutputSchema, { direction: "output", level: 3 })}
## \`boardwake practice --board BOARD --seed N --auto --json\`

${renderFields(practiceOutputSchema, { direction: "output", level: 3 })}
## When an operation could not be done

${renderFields(errorOutputSchema, { direction: "output", level: 3 })}`;
}

function boardOutputPage(): string {
  return `# Output of the board commands

What they print with \`--json\`: one JSON object. Fields are only ever added. ${made}

A board or netlist that cannot be used prints only \`problems\`, and the exit code is 3.

## \`boardwake board check BOARD --json\`

${renderFields(checkOutputSchema, { direction: "output", level: 3 })}
## \`boardwake board show BOARD --json\`

${renderFields(showOutputSchema, { direction: "output", level: 3, elsewhere: { rails: list("rails"), memory: list("memory"), phases: list("phases") } })}
## \`boardwake board import FILE... --out FILE --json\`

${renderFields(importOutputSchema, { direction: "output", level: 3 })}
## \`boardwake board sketch --blocks FILE --out FILE --json\`

${renderFields(sketchOutputSchema, { direction: "output", level: 3 })}
## \`boardwake board diff BEFORE AFTER --json\`

${renderFields(diffOutputSchema, { direction: "output", level: 3 })}`;
}

function deckOutputPage(): string {
  return `# Output of the deck commands

What they print with \`--json\`: one JSON object. Fields are only ever added. ${made}

A recording that cannot be measured prints only \`problems\`, and the exit code is 3; a reading in doubt prints everything, says
why in \`problems\`, and the exit code is 1.

## \`boardwake deck measure RECORDING --json\`

${renderFields(deckOutputSchema, { direction: "output", level: 3 })}
## \`boardwake deck tone --out FILE --json\`

${renderFields(toneOutputSchema, { direction: "output", level: 3 })}
## \`boardwake deck belt --json\`

${renderFields(beltOutputSchema, { direction: "output", level: 3 })}`;
}
