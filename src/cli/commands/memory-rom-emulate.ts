import type { Command } from "commander";
import { loadBoard } from "../../app/load-board.js";
import { emulateOutput } from "../../app/output/emulate-output.js";
import { type EmulatedSelfTest, emulateImage, maximumImageBytes } from "../../app/self-test-emulate.js";
import type { SelfTestChoices } from "../../app/self-test-rom.js";
import { type CliContext, exitCodes, printLines, refuseInput, reportProblems } from "../context.js";
import { renderJson } from "../json.js";

/** What the command is asked for. */
export interface EmulateOptions {
  readonly board: string;
  readonly image: string;
  readonly fault?: string;
  readonly offset?: number;
  readonly json?: true;
}

/** Adds what the command takes besides the choices of the plan. */
export function withEmulateOptions(command: Command, hexadecimal: (text: string) => number): Command {
  return command
    .requiredOption("--image <file>", "content of the chip, binary")
    .option("--offset <hex>", "place of the ROM's first byte in the file", hexadecimal)
    .option(
      "--fault <fault>",
      "a fault to put in: PART:KIND, as U17:stuck-0, U17:stuck-0@1A2B, U29.4:open, memory:dead, memory:no-refresh",
    )
    .option("--json", "print verdict, parts, beacon and cycles as JSON");
}

/** Runs an image in emulation and prints what its beacon says. */
export async function emulate(
  { io, store }: CliContext,
  options: EmulateOptions,
  choices: SelfTestChoices,
): Promise<number> {
  const isJson = options.json === true;
  const loaded = loadBoard(store, options.board);
  if (loaded.value === undefined) return refuseInput(io, loaded.problems, isJson);
  reportProblems(io, loaded.problems);
  const content = await contentOf(store.files.openBytes(options.image));
  let told = 0;
  const { value, problems } = emulateImage(
    loaded.value,
    choices,
    content,
    options.offset ?? 0,
    options.fault,
    (cycles) => {
      if (!io.isInteractive || cycles - told < 2e7) return;
      told = cycles;
      io.err(`${Math.round(cycles / 1e6)} million clock cycles …\n`);
    },
  );
  if (value === undefined) return refuseInput(io, problems, isJson);
  reportProblems(io, problems);
  if (isJson) io.out(renderJson(emulateOutput(value)));
  else printLines(io, renderEmulated(value));
  return exitCodes.done;
}

/** The beginning of a file, as much as the largest EPROM holds. */
async function contentOf({ chunks }: { readonly chunks: AsyncIterable<Uint8Array> }): Promise<Uint8Array> {
  const content = new Uint8Array(maximumImageBytes);
  let length = 0;
  for await (const chunk of chunks) {
    const piece = chunk.subarray(0, maximumImageBytes - length);
    content.set(piece, length);
    length += piece.length;
    if (length === maximumImageBytes) break;
  }
  return content.subarray(0, length);
}

/** What was said, for people. */
function renderEmulated({ verdict, emulation, clockHertz }: EmulatedSelfTest): string[] {
  const { parts, beacon, cycles, reason } = emulation;
  const seconds = (cycles / clockHertz).toFixed(1);
  return [
    `The beacon says: ${verdict}${beacon === "" ? "" : ` (${beacon})`}.`,
    ...(parts.length === 0 ? [] : [`Parts to look at: ${parts.join(", ")}.`]),
    ...(reason === undefined ? [] : [reason]),
    `${cycles} clock cycles, ${seconds} s on the machine.`,
  ];
}
