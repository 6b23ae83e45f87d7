import { type Command, InvalidArgumentError, Option } from "commander";
import { deckEntry } from "../../app/api/deck-entry.js";
import { deckAdvice } from "../../app/deck-advice.js";
import { type BeltRequest, findBelt } from "../../app/deck-belt.js";
import { careTaskNames, findCare } from "../../app/deck-care.js";
import { findLimits, type MeasuredDeck, measureRecording, usualLimits } from "../../app/deck-measure.js";
import { makeTone, type ToneRequest, toneUses } from "../../app/deck-tone.js";
import { BenchBoards } from "../../app/jobs/bench-boards.js";
import { JobBook } from "../../app/jobs/job-book.js";
import { jobNamed } from "../../app/jobs/job-named.js";
import { beltOutput, deckOutput, toneOutput } from "../../app/output/deck-output.js";
import { usage } from "../../app/usage.js";
import type { Parsed } from "../../core/base/problem.js";
import {
  type CliContext,
  examples,
  exitCodes,
  paintFor,
  printLines,
  refuseInput,
  reportProblems,
} from "../context.js";
import { renderJson } from "../json.js";
import { renderBelt, renderCare, renderDeck } from "../render/deck.js";

/** Adds `boardwake deck` with its subcommands. */
export function addDeckCommands(program: Command, context: CliContext, end: (code: number) => void): void {
  const deck = program
    .command("deck")
    .summary("measure a cassette deck, make test tones, find a belt")
    .description("Measures a cassette deck from a recording of a reference tone, and helps to service it.");
  addMeasure(deck, context, end);
  deck
    .command("tone")
    .summary("write a WAV to record on a test tape")
    .description(
      "Writes test tones: for speed one tone, for azimuth the same and 6300 and 10000 Hz, for response tones from 315 to 12500 Hz.",
    )
    .requiredOption("--out <file>", "WAV file to write")
    .addOption(new Option("--for <use>", "what the tape is for").choices([...toneUses]).default("speed"))
    .option("--tone <hz>", "the speed tone", number, 3150)
    .option("--seconds <seconds>", "length of each tone", number, 60)
    .option("--level <decibel>", "level, 0 is full scale", number, -10)
    .option("--rate <hz>", "sample rate", number, 48000)
    .option("--channels <count>", "1 or 2", number, 2)
    .option("--json", "print what was written as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake deck tone --out speed.wav",
        "boardwake deck tone --for azimuth --seconds 20 --out azimuth.wav",
      ),
    )
    .action(async (options: ToneOptions) => end(await tone(context, options)));
  deck
    .command("belt")
    .summary("from an old belt or the pulleys to the belt to order")
    .description("Works out the inner length of a new belt. Lengths are in millimetres.")
    .option("--old <mm>", "inner length of the old belt", number)
    .option("--path <mm>", "length of a thread laid round the pulleys", number)
    .option("--pulleys <list>", "'12,60' with --distance, or 'x,y,diameter;x,y,diameter'")
    .option("--distance <mm>", "between the axles of two pulleys", number)
    .addOption(new Option("--section <section>", "of the belt").choices(["square", "flat"]).default("square"))
    .option("--motor-pulley <mm>", "diameter of the motor's pulley, to be corrected", number)
    .option("--speed-error <percent>", "speed error to be taken away by the pulley", number)
    .option("--json", "print the belt as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake deck belt --old 212",
        "boardwake deck belt --pulleys 12,60 --distance 80 --section flat",
        "boardwake deck belt --path 250 --motor-pulley 10.2 --speed-error 2",
      ),
    )
    .action((options: BeltOptions) => end(belt(context, options)));
  deck
    .command("care")
    .summary("cleaning, demagnetising and setting, step by step")
    .description(`Prints the steps of a task with their cautions: ${careTaskNames.join(", ")}.`)
    .argument("<task>", "the task")
    .option("--json", "print the steps as JSON")
    .addHelpText("after", examples("boardwake deck care clean", "boardwake deck care azimuth"))
    .action((task: string, options: { readonly json?: true }) =>
      end(care(context, task, options.json === true)),
    );
}

function addMeasure(deck: Command, context: CliContext, end: (code: number) => void): void {
  deck
    .command("measure")
    .summary("measure a deck from a recording of a reference tone")
    .description(
      "Reads speed error, wow and flutter, dropouts, level, noise and azimuth from a recording (WAV, FLAC, MP3, Ogg Vorbis) of a tone of 3150 or 3000 Hz, and judges them. Exit code 1: the reading is in doubt, and the problems say why.",
    )
    .argument("<recording>", "the recording; - reads it from the input stream")
    .option("--tone <hz>", "the tone on the tape; the nearer of 3150 and 3000 if not given", number)
    .option("--own-recording", "the tone was recorded on this deck, which hides its speed error")
    .option("--limits <limits>", "installed limits, or a file of your own", usualLimits)
    .option("--capstan <mm>", "diameter of the capstan", number)
    .option("--roller <mm>", "diameter of the pinch roller", number)
    .option("--idler <mm>", "diameter of an idler that runs with the tape", number)
    .option("--flywheel <mm>", "diameter of the flywheel where the belt runs", number)
    .option("--motor-pulley <mm>", "diameter of the motor's pulley", number)
    .option("--belt <mm>", "length of the belt", number)
    .option("--job <job>", "also adds the reading to the log of this job")
    .addOption(
      new Option("--stage <stage>", "of the work, with --job").choices(["before", "after"]).default("before"),
    )
    .option("--data <folder>", "folder of the job database, with --job")
    .option("--json", "print the reading as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake deck measure tone.wav",
        "boardwake deck measure tone.flac --tone 3000 --capstan 2.5 --json",
        "boardwake deck measure tone.wav --job 8b1c --stage after",
      ),
    )
    .action(async (file: string, options: MeasureCommandOptions) =>
      end(await measure(context, file, options)),
    );
}

interface MeasureCommandOptions {
  readonly tone?: number;
  readonly ownRecording?: true;
  readonly limits: string;
  readonly capstan?: number;
  readonly roller?: number;
  readonly idler?: number;
  readonly flywheel?: number;
  readonly motorPulley?: number;
  readonly belt?: number;
  readonly job?: string;
  readonly stage: "before" | "after";
  readonly data?: string;
  readonly json?: true;
}

async function measure(context: CliContext, file: string, options: MeasureCommandOptions): Promise<number> {
  const { io, store } = context;
  const isJson = options.json === true;
  if (options.tone !== undefined && !(options.tone >= 2000 && options.tone <= 4200))
    throw usage("--tone takes 2000 to 4200 Hz.");
  const { value: limits, problems: flaws } = findLimits(store, options.limits);
  if (limits === undefined) return refuseInput(io, flaws, isJson);
  const read = (toneHz: number | undefined): Promise<Parsed<MeasuredDeck>> => {
    const stream =
      file === "-" ? { file: "input stream", chunks: io.readBytes() } : store.files.openBytes(file);
    const known = { isOwnRecording: options.ownRecording === true, geometry: geometryOf(options) };
    const wish = toneHz === undefined ? known : { ...known, toneHz };
    return measureRecording(stream, wish, limits, tellProgress(context));
  };
  let { value, problems } = await read(options.tone);
  if (value?.reading.otherToneHz !== undefined && io.isInteractive && file !== "-") {
    const { toneHz, otherToneHz } = value.reading;
    const said = await io.readLine(`Which tone is on the tape, ${toneHz} or ${otherToneHz} Hz? [${toneHz}] `);
    ({ value, problems } = await read(said?.trim() === String(otherToneHz) ? otherToneHz : toneHz));
  }
  if (value === undefined) return refuseInput(io, problems, isJson);
  reportProblems(io, problems);
  if (isJson) io.out(renderJson(deckOutput(value, problems)));
  else printLines(io, renderDeck(value, deckAdvice(value), paintFor(io)));
  if (options.job !== undefined) await keepInJob(context, value, options.job, options);
  return problems.length === 0 ? exitCodes.done : exitCodes.problemFound;
}

/** Tells a waiting person every half minute of sound. */
function tellProgress({ io }: CliContext): (seconds: number, total: number | undefined) => void {
  let told = 0;
  return (seconds, total) => {
    if (!io.isInteractive || seconds < told + 30) return;
    told = seconds;
    const of = total === undefined ? "" : ` of ${total.toFixed(0)}`;
    io.err(`${seconds.toFixed(0)}${of} s read …\n`);
  };
}

function geometryOf({ capstan, roller, idler, flywheel, motorPulley, belt: length }: MeasureCommandOptions) {
  const sizes = { capstan, roller, idler, flywheel, motorPulley, belt: length };
  for (const size of Object.values(sizes))
    if (size !== undefined && !(size > 0 && size < 2000)) throw usage("Sizes are millimetres above 0.");
  return {
    ...(capstan === undefined ? {} : { capstanMillimetres: capstan }),
    ...(roller === undefined ? {} : { pinchRollerMillimetres: roller }),
    ...(idler === undefined ? {} : { idlerMillimetres: idler }),
    ...(flywheel === undefined ? {} : { flywheelMillimetres: flywheel }),
    ...(motorPulley === undefined ? {} : { motorPulleyMillimetres: motorPulley }),
    ...(length === undefined ? {} : { beltMillimetres: length }),
  };
}

async function keepInJob(
  { io, bench, store }: CliContext,
  value: MeasuredDeck,
  name: string,
  { stage, data }: MeasureCommandOptions,
): Promise<void> {
  const jobs = await bench.openJobs(data);
  try {
    const book = new JobBook(jobs, new BenchBoards(store, jobs), () => bench.now());
    const { id, title } = jobNamed(book.list(), name);
    book.add(id, { id: bench.newId(), entry: deckEntry(value.file, value.reading, value.verdict, stage) });
    io.err(`Added to the log of '${title}'.\n`);
  } finally {
    jobs.close();
  }
}

interface ToneOptions {
  readonly out: string;
  readonly for: ToneRequest["use"];
  readonly tone: number;
  readonly seconds: number;
  readonly level: number;
  readonly rate: number;
  readonly channels: number;
  readonly json?: true;
}

async function tone({ io, store }: CliContext, options: ToneOptions): Promise<number> {
  const made = makeTone({
    use: options.for,
    toneHz: options.tone,
    seconds: options.seconds,
    levelDecibel: options.level,
    sampleRateHz: options.rate,
    channels: options.channels,
  });
  await store.files.writeBytes(options.out, made.pieces);
  if (options.json === true) io.out(renderJson(toneOutput(options.out, made)));
  else io.err(`${made.tones.join(", ")} Hz, ${made.seconds} s, written to ${options.out}\n`);
  return exitCodes.done;
}

interface BeltOptions {
  readonly old?: number;
  readonly path?: number;
  readonly pulleys?: string;
  readonly distance?: number;
  readonly section: BeltRequest["section"];
  readonly motorPulley?: number;
  readonly speedError?: number;
  readonly json?: true;
}

function belt({ io }: CliContext, options: BeltOptions): number {
  const found = findBelt({
    section: options.section,
    ...(options.old === undefined ? {} : { oldMillimetres: options.old }),
    ...(options.path === undefined ? {} : { pathMillimetres: options.path }),
    ...(options.pulleys === undefined ? {} : { pulleys: options.pulleys }),
    ...(options.distance === undefined ? {} : { distanceMillimetres: options.distance }),
    ...(options.motorPulley === undefined ? {} : { motorPulleyMillimetres: options.motorPulley }),
    ...(options.speedError === undefined ? {} : { speedErrorPercent: options.speedError }),
  });
  if (options.json === true) io.out(renderJson(beltOutput(found)));
  else printLines(io, renderBelt(found));
  return exitCodes.done;
}

function care({ io }: CliContext, task: string, isJson: boolean): number {
  const list = findCare(task);
  if (isJson) io.out(renderJson({ ...list, problems: [] }));
  else printLines(io, renderCare(list, paintFor(io)));
  return exitCodes.done;
}

function number(text: string): number {
  const value = Number(text.trim() || Number.NaN);
  if (!Number.isFinite(value)) throw new InvalidArgumentError("It must be a number.");
  return value;
}
