import { type Command, InvalidArgumentError } from "commander";
import { loadBoard } from "../../app/load-board.js";
import { buildOutput } from "../../app/output/self-test-output.js";
import {
  buildSelfTest,
  planFor,
  renderSheet,
  type SelfTestChoices,
  sheetFor,
  writeSelfTest,
} from "../../app/self-test-rom.js";
import { type CliContext, examples, exitCodes, printLines, refuseInput, reportProblems } from "../context.js";
import { renderJson } from "../json.js";
import { type EmulateOptions, emulate, withEmulateOptions } from "./memory-rom-emulate.js";

/** Adds `boardwake memory rom` with its subcommands. */
export function addMemoryRomCommands(
  memory: Command,
  context: CliContext,
  end: (code: number) => void,
): void {
  const rom = memory
    .command("rom")
    .summary("a self-test in ROM for a board")
    .description(
      "Builds a self-test that needs neither RAM nor screen, and the sheet that says what it signals.",
    );
  withPlanOptions(
    rom
      .command("build")
      .summary("the content of the chip")
      .description(
        "Builds the self-test of a board, tries it on a bare processor core, and writes the content of the chip. Nothing is written if a trial fails. Power off and unplugged before a chip goes into its socket.",
      )
      .requiredOption("--board <board>", "an installed board, a board file, or a KiCad netlist (.net)")
      .requiredOption("--out <file>", "content of the whole chip, binary"),
  )
    .option("--hex <file>", "the same as Intel HEX; addresses are places in the chip")
    .option("--srec <file>", "the same as S-records")
    .option("--listing <file>", "annotated listing")
    .option("--sheet <file>", "sheet for the bench: a page if its name ends in .html, else text")
    .option("--chip <type>", "EPROM from 2716 to 27512; the board's own if not given")
    .option("--offset <hex>", "place of the first byte in the chip", hexadecimal)
    .option("--fill <hex>", "byte of unused places; FF if not given", hexadecimal)
    .option("--repeat", "lay the content into a larger chip as often as it fits")
    .option("--json", "print what was built as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake memory rom build --board merrow --out rom.bin --sheet sheet.html",
        "boardwake memory rom build --board merrow --out rom.bin --chip 2764 --repeat",
        "boardwake memory rom build --board merrow --out rom.bin --rows 256 --json",
      ),
    )
    .action(async (options: BuildOptions) => end(await build(context, options)));
  withPlanOptions(
    rom
      .command("sheet")
      .summary("what the self-test signals on a board")
      .description(
        "Prints the sheet of a board's self-test: where to probe, how to read the signals, what each means.",
      )
      .requiredOption("--board <board>", "an installed board, a board file, or a KiCad netlist (.net)"),
  )
    .option("--html", "print a page instead of text")
    .addHelpText(
      "after",
      examples(
        "boardwake memory rom sheet --board merrow",
        "boardwake memory rom sheet --board pellow-16 --html",
      ),
    )
    .action((options: SheetOptions) => end(sheet(context, options)));
  withEmulateOptions(
    withPlanOptions(
      rom
        .command("emulate")
        .summary("what a self-test says of a fault")
        .description(
          "Runs the content of a self-test ROM on the board's bare processor with memory that has one fault, or none, and reads its bus beacon. Give the clock, unit and rows that it was built with.",
        )
        .requiredOption("--board <board>", "an installed board, a board file, or a KiCad netlist (.net)"),
    ),
    hexadecimal,
  )
    .addHelpText(
      "after",
      examples(
        "boardwake memory rom emulate --board merrow --image rom.bin",
        "boardwake memory rom emulate --board merrow --image rom.bin --fault U5:stuck-0",
      ),
    )
    .action(async (options: EmulateWords) => end(await emulate(context, options, choicesOf(options))));
}

type EmulateWords = EmulateOptions & PlanWords;

interface PlanWords {
  readonly board: string;
  readonly ranges?: string;
  readonly beacons?: string;
  readonly clock?: number;
  readonly rows?: 128 | 256;
  readonly unit?: number;
  readonly pause?: number;
}

interface BuildOptions extends PlanWords {
  readonly out: string;
  readonly hex?: string;
  readonly srec?: string;
  readonly listing?: string;
  readonly sheet?: string;
  readonly chip?: string;
  readonly offset?: number;
  readonly fill?: number;
  readonly repeat?: true;
  readonly json?: true;
}

interface SheetOptions extends PlanWords {
  readonly html?: true;
}

function withPlanOptions(command: Command): Command {
  return command
    .option(
      "--ranges <ranges>",
      "addresses to test, whole pages, as 2000-3FFF,8000-FFFF; all RAM if not given",
    )
    .option("--beacons <ids>", "beacons to use, separated by commas; all of the board if not given")
    .option("--clock <hertz>", "clock of the processor, where it is not the board's", positive)
    .option("--rows <count>", "refresh rows of the fitted chips, 128 or 256", rowCount)
    .option("--unit <seconds>", "length of a short signal; 0.2 if not given", positive)
    .option("--pause <seconds>", "how long memory must keep its content; 1 if not given", notNegative);
}

async function build({ io, store }: CliContext, options: BuildOptions): Promise<number> {
  const isJson = options.json === true;
  const loaded = loadBoard(store, options.board);
  if (loaded.value === undefined) return refuseInput(io, loaded.problems, isJson);
  reportProblems(io, loaded.problems);
  const { chip, offset, fill, repeat } = options;
  let told = 0;
  const layout = {
    ...(chip === undefined ? {} : { chip }),
    ...(offset === undefined ? {} : { offset }),
    ...(fill === undefined ? {} : { fill }),
    ...(repeat === undefined ? {} : { isRepeated: true }),
  };
  const { value, problems } = buildSelfTest(loaded.value, choicesOf(options), layout, (cycles) => {
    if (!io.isInteractive || cycles - told < 2e7) return;
    told = cycles;
    io.err(`Trying it on the processor core: ${Math.round(cycles / 1e6)} million clock cycles …\n`);
  });
  if (value === undefined) return refuseInput(io, problems, isJson);
  reportProblems(io, problems);
  const files = await writeSelfTest(store, value, options);
  if (isJson) io.out(renderJson(buildOutput(value, files, problems)));
  else {
    const { plan, image, verification, goodSeconds } = value;
    const used = `${image.codeBytes} bytes of code, ${image.usedBytes} with tables`;
    printLines(io, [
      `${plan.title}: self-test for ${plan.rom.part}, ${value.chip.type}; ${used}.`,
      ...verification.trials.map(
        ({ title, verdicts }) => `Tried with ${title}: it says ${verdicts.at(-1)?.kind ?? "nothing"}.`,
      ),
      `A good machine has said so about ${Math.ceil(goodSeconds)} s after power-on.`,
      `Written: ${files.join(", ")}`,
    ]);
  }
  return exitCodes.done;
}

function sheet({ io, store }: CliContext, options: SheetOptions): number {
  const loaded = loadBoard(store, options.board);
  if (loaded.value === undefined) return refuseInput(io, loaded.problems, false);
  reportProblems(io, loaded.problems);
  const { value, problems } = planFor(loaded.value, choicesOf(options));
  if (value === undefined) return refuseInput(io, problems, false);
  reportProblems(io, problems);
  io.out(renderSheet(sheetFor(value), options.html === true ? "sheet.html" : "sheet.txt"));
  return exitCodes.done;
}

function choicesOf({ ranges, beacons, clock, rows, unit, pause }: PlanWords): SelfTestChoices {
  return {
    ...(ranges === undefined ? {} : { ranges }),
    ...(beacons === undefined ? {} : { beacons }),
    ...(clock === undefined ? {} : { clockHertz: clock }),
    ...(rows === undefined ? {} : { refreshRows: rows }),
    ...(unit === undefined ? {} : { unitSeconds: unit }),
    ...(pause === undefined ? {} : { retentionSeconds: pause }),
  };
}

function hexadecimal(text: string): number {
  const [, digits] = /^(?:\$|0x)?([0-9a-f]{1,5})h?$/i.exec(text) ?? [];
  if (digits === undefined) throw new InvalidArgumentError("It must be a hexadecimal number.");
  return Number.parseInt(digits, 16);
}

function positive(text: string): number {
  const value = notNegative(text);
  if (value === 0) throw new InvalidArgumentError("It must be above 0.");
  return value;
}

function notNegative(text: string): number {
  if (!/^\d{1,9}(\.\d{1,6})?$/.test(text)) throw new InvalidArgumentError("It must be a number.");
  return Number(text);
}

function rowCount(text: string): 128 | 256 {
  if (text === "128") return 128;
  if (text === "256") return 256;
  throw new InvalidArgumentError("It must be 128 or 256.");
}
