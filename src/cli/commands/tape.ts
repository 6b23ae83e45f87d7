import { type Command, InvalidArgumentError } from "commander";
import { tapeManifest, tapeReadOutput } from "../../app/output/tape-output.js";
import { learnRecording } from "../../app/tape-learn.js";
import { schemeMargins } from "../../app/tape-margin.js";
import {
  combineRecordings,
  isClean,
  readingBytes,
  readRecording,
  type TapeReading,
} from "../../app/tape-read.js";
import { loadTapeScheme } from "../../app/tape-scheme.js";
import { maximumTapeBytes, renderAnew, writeRecording } from "../../app/tape-write.js";
import { BoardwakeError } from "../../core/base/errors.js";
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
import { renderLearned, renderMargins, renderReading } from "../render/tape.js";

type End = (code: number) => void;

/** Adds `boardwake tape` with its subcommands. */
export function addTapeCommands(program: Command, context: CliContext, end: End): void {
  const tape = program
    .command("tape")
    .summary("bytes from worn recordings, clean recordings from bytes")
    .description("Works on data tapes: reads recordings, makes clean ones, learns unknown schemes.");
  addRead(tape, context, end);
  addWrite(tape, context, end);
  addLearnAndMargin(tape, context, end);
}

function addRead(tape: Command, context: CliContext, end: End): void {
  const withOutput = (command: Command): Command =>
    command
      .requiredOption("--scheme <scheme>", "an installed scheme such as kansas-city-300, or a scheme file")
      .option("--out <file>", "where to write the bytes; their manifest is written beside them (.json)")
      .option("--clean <file>", "also make a clean recording (WAV) of what was read")
      .option("--repair", "make the repairs that check values offer")
      .option("--json", "print blocks, doubts and speed as JSON");
  withOutput(tape.command("read").argument("<recording>", "the recording"))
    .summary("bytes from a recording, with every doubtful one marked")
    .description(
      "Reads a recording (WAV, FLAC, MP3, Ogg Vorbis). Speed, polarity and level are found. Exit code 1 if a byte is doubtful or a check fails, 3 if nothing can be read.",
    )
    .addHelpText(
      "after",
      examples(
        "boardwake tape read side-a.wav --scheme kansas-city-300 --out bytes.bin",
        "boardwake tape read side-a.flac --scheme mine.json --clean fresh.wav --json",
      ),
    )
    .action(async (file: string, options: ReadOptions) => {
      const scheme = loadTapeScheme(context.store, options.scheme);
      const { value } = scheme;
      if (value === undefined) return end(refuseInput(context.io, scheme.problems, options.json === true));
      const read = (): Promise<Parsed<TapeReading>> =>
        readRecording(context.store.files.openBytes(file), value, progress(context));
      end(await finish(context, options, read));
    });
  withOutput(tape.command("combine").argument("<recordings...>", "takes of one tape, two or more"))
    .summary("several takes of one tape, each byte from where it was heard best")
    .description(
      "Reads several recordings of one tape, lays them side by side and adds up what each says about every bit.",
    )
    .addHelpText(
      "after",
      examples(
        "boardwake tape combine take1.wav take2.wav --scheme mine.json --out all.bin",
        "boardwake tape combine side-a.wav side-b.flac --scheme mine.json --json",
      ),
    )
    .action(async (files: string[], options: ReadOptions) => {
      const scheme = loadTapeScheme(context.store, options.scheme);
      const { value } = scheme;
      if (value === undefined) return end(refuseInput(context.io, scheme.problems, options.json === true));
      const read = (): Promise<Parsed<TapeReading>> =>
        combineRecordings(
          files.map((file) => context.store.files.openBytes(file)),
          value,
          progress(context),
        );
      end(await finish(context, options, read));
    });
}

interface ReadOptions {
  readonly scheme: string;
  readonly out?: string;
  readonly clean?: string;
  readonly repair?: true;
  readonly json?: true;
}

async function finish(
  context: CliContext,
  options: ReadOptions,
  read: () => Promise<Parsed<TapeReading>>,
): Promise<number> {
  const { io, store } = context;
  const started = performance.now();
  const { value, problems } = await read();
  if (io.isInteractive) io.err("\r\u001b[K");
  if (value === undefined) return refuseInput(io, problems, options.json === true);
  reportProblems(io, problems);
  const output = tapeReadOutput(value, (performance.now() - started) / 1000, problems);
  const isRepaired = options.repair === true;
  if (options.out !== undefined) {
    await store.files.writeBytes(options.out, [readingBytes(value, isRepaired)]);
    const manifest = { ...tapeManifest(output, value), repaired: isRepaired };
    await store.files.writeBytes(`${options.out}.json`, [new TextEncoder().encode(renderJson(manifest))]);
  }
  if (options.clean !== undefined) {
    const wav = renderAnew(value, { sampleRateHz: 44100, format: "pcm16", isRepaired });
    await store.files.writeBytes(options.clean, [wav]);
  }
  if (options.json === true) io.out(renderJson(output));
  else printLines(io, renderReading(output, paintFor(io), isRepaired));
  return isClean(value) && problems.length === 0 ? exitCodes.done : exitCodes.problemFound;
}

/** Says how far the work has come, to a person who waits, once for every ten seconds of sound. */
function progress({ io }: CliContext): (seconds: number) => void {
  let told = 0;
  return (seconds) => {
    if (!io.isInteractive || seconds - told < 10) return;
    told = seconds;
    io.err(`\r${Math.floor(seconds / 60)} min ${Math.floor(seconds % 60)} s heard …`);
  };
}

interface WriteOptions {
  readonly scheme: string;
  readonly out: string;
  readonly rate: number;
  readonly level: number;
  readonly inverted?: true;
  readonly edges: string;
  readonly leader?: number;
  readonly json?: true;
}

function addWrite(tape: Command, context: CliContext, end: End): void {
  tape
    .command("write")
    .argument("<bytes>", "the file of bytes")
    .summary("a recording (WAV) of a file of bytes")
    .description(
      "Makes a recording that the machine can load: leader, blocks after the scheme's layout, check values.",
    )
    .requiredOption("--scheme <scheme>", "an installed scheme such as kansas-city-300, or a scheme file")
    .requiredOption("--out <file>", "where to write the recording")
    .option("--rate <hz>", "samples a second", number, 44100)
    .option("--level <share>", "peak as a share of full scale", number, 0.5)
    .option("--inverted", "turn the signal upside down")
    .option("--edges <shape>", "sine, square or rounded", "sine")
    .option("--leader <seconds>", "length of the leader; the scheme's if not given", number)
    .option("--json", "print what was written as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake tape write bytes.bin --scheme kansas-city-300 --out rec.wav",
        "boardwake tape write bytes.bin --scheme mine.json --out rec.wav --edges square",
      ),
    )
    .action(async (file: string, options: WriteOptions) => end(await write(context, file, options)));
}

async function write({ io, store }: CliContext, file: string, options: WriteOptions): Promise<number> {
  const { value: scheme, problems } = loadTapeScheme(store, options.scheme);
  if (scheme === undefined) return refuseInput(io, problems, options.json === true);
  const bytes = await readAll(store.files.openBytes(file).chunks, file);
  const { edges } = options;
  if (edges !== "sine" && edges !== "square" && edges !== "rounded")
    throw new BoardwakeError("usage", { reason: `--edges takes sine, square or rounded; got '${edges}'.` });
  const wav = writeRecording(scheme, bytes, {
    sampleRateHz: options.rate,
    level: options.level,
    edges,
    isInverted: options.inverted === true,
    format: "pcm16",
    ...(options.leader === undefined ? {} : { leaderSeconds: options.leader }),
  });
  await store.files.writeBytes(options.out, [wav]);
  const seconds = (wav.length - 44) / 2 / options.rate;
  if (options.json === true)
    io.out(renderJson({ file: options.out, bytes: bytes.length, secondsOfAudio: seconds }));
  else printLines(io, [`${options.out}: ${bytes.length} bytes in ${seconds.toFixed(1)} s of sound.`]);
  return exitCodes.done;
}

async function readAll(chunks: AsyncIterable<Uint8Array>, file: string): Promise<Uint8Array> {
  const pieces: Uint8Array[] = [];
  let size = 0;
  for await (const chunk of chunks) {
    size += chunk.length;
    if (size > maximumTapeBytes) {
      const reason = `it is longer than the ${maximumTapeBytes} bytes that go on one recording`;
      throw new BoardwakeError("file-unreadable", { file, reason });
    }
    pieces.push(chunk);
  }
  const bytes = new Uint8Array(size);
  let at = 0;
  for (const piece of pieces) {
    bytes.set(piece, at);
    at += piece.length;
  }
  return bytes;
}

function addLearnAndMargin(tape: Command, context: CliContext, end: End): void {
  tape
    .command("learn")
    .argument("<recording>", "the recording")
    .summary("how an unknown recording keeps its bytes")
    .description(
      "Works out lengths, leader, bits, framing and check of an unknown recording and offers a scheme to confirm. Exit code 1 if no scheme fits, 3 if it is no data.",
    )
    .option("--out <file>", "where to write the scheme")
    .option("--json", "print what was found as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake tape learn unknown.wav --out mine.json",
        "boardwake tape learn unknown.flac --json",
      ),
    )
    .action(async (file: string, options: { out?: string; json?: true }) => {
      const { io, store } = context;
      const { value, problems } = await learnRecording(store.files.openBytes(file));
      if (value === undefined) return end(refuseInput(io, problems, options.json === true));
      reportProblems(io, problems);
      if (options.out !== undefined && value.scheme !== undefined)
        store.files.write([{ file: options.out, text: renderJson(value.scheme) }]);
      if (options.json === true) io.out(renderJson({ ...value, problems }));
      else printLines(io, renderLearned(value, paintFor(io)));
      const codes = {
        data: exitCodes.done,
        unclear: exitCodes.problemFound,
        "not-data": exitCodes.unusableInput,
      };
      end(codes[value.verdict]);
    });
  tape
    .command("margin")
    .summary("how far a tape may drift before the machine fails to load it")
    .description(
      "Plays a recording to the loader that a scheme describes and lets speed, level, noise and threshold drift, each alone.",
    )
    .requiredOption("--scheme <scheme>", "an installed scheme such as kansas-city-300, or a scheme file")
    .option("--seed <number>", "of the bytes and the noise", number, 1)
    .option("--json", "print the margins as JSON")
    .addHelpText(
      "after",
      examples(
        "boardwake tape margin --scheme kansas-city-1200",
        "boardwake tape margin --scheme mine.json --json",
      ),
    )
    .action((options: { scheme: string; seed: number; json?: true }) => {
      const { value, problems } = loadTapeScheme(context.store, options.scheme);
      if (value === undefined) return end(refuseInput(context.io, problems, options.json === true));
      const margins = schemeMargins(value, options.seed);
      if (options.json === true) context.io.out(renderJson({ scheme: value.id, ...margins }));
      else printLines(context.io, renderMargins(value.title, margins));
      return end(exitCodes.done);
    });
}

function number(text: string): number {
  if (!/^\d{1,9}(\.\d{1,6})?$/.test(text)) throw new InvalidArgumentError("It must be a number.");
  return Number(text);
}
