import type { Parsed } from "../../core/base/problem.js";
import { DeckMeter, measureDeck } from "../../core/deck/meter.js";
import type { DeckReading } from "../../core/deck/reading.js";
import type { ByteStream } from "../../core/signal/byte-stream.js";
import { audioOf } from "../../core/signal/samples.js";
import { readWav } from "../../core/signal/wav-read.js";
import type { FromWorker, ToWorker } from "./messages.js";

const running = new Map<number, DeckMeter>();
/** What was listened to last, to be read again. */
let heard: DeckMeter | undefined;
const pieceBytes = 1 << 20;

const tell = (message: FromWorker): void => postMessage(message);
const done = (ticket: number, { value, problems }: Parsed<DeckReading>): void =>
  tell({ kind: "done", ticket, reading: value, problems });

addEventListener("message", ({ data }: MessageEvent<ToWorker>) => void answer(data));

async function answer(message: ToWorker): Promise<void> {
  const { ticket } = message;
  try {
    switch (message.kind) {
      case "file": {
        const opened = await readWav(streamOf(message.file));
        if (opened.problems.some(({ code }) => code === "wav-not-wave"))
          return tell({ kind: "other-kind", ticket });
        if (opened.value === undefined) return done(ticket, { problems: opened.problems });
        return done(ticket, await measureDeck(opened.value, message.options, progress(ticket)));
      }
      case "sound": {
        const source = audioOf(message.channels, message.sampleRateHz);
        return done(ticket, await measureDeck(source, message.options, progress(ticket)));
      }
      case "begin":
        running.set(ticket, new DeckMeter(message.sampleRateHz));
        return;
      case "append":
        running.get(ticket)?.push({ channels: message.channels });
        return;
      case "end": {
        const meter = running.get(ticket);
        running.delete(ticket);
        heard = meter;
        if (meter !== undefined) done(ticket, meter.finish(message.options));
        return;
      }
      case "again":
        if (heard !== undefined) done(ticket, heard.finish(message.options));
        return;
      case "forget":
        running.delete(ticket);
    }
  } catch (cause) {
    const text = cause instanceof Error ? cause.message : String(cause);
    done(ticket, { problems: [{ code: "deck-work", severity: "error", message: text, where: {} }] });
  }
}

/** Tells every half minute of sound. */
function progress(ticket: number): (seconds: number) => void {
  let told = 0;
  return (seconds) => {
    if (seconds < told + 30) return;
    told = seconds;
    tell({ kind: "progress", ticket, seconds });
  };
}

function streamOf(file: File): ByteStream {
  return { file: file.name, sizeBytes: file.size, chunks: pieces(file) };
}

async function* pieces(file: File): AsyncGenerator<Uint8Array> {
  for (let start = 0; start < file.size; start += pieceBytes) {
    yield new Uint8Array(await file.slice(start, start + pieceBytes).arrayBuffer());
  }
}
