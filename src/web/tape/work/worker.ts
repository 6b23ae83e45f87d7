import { z } from "zod";
import type { Problem } from "../../../core/base/problem.js";
import type { FromWorker, ToWorker } from "./messages.js";
import { TakeDesk } from "./take-desk.js";
import { CancelledError, TaskDesk } from "./task-desk.js";

// As on the page: its content policy forbids making code from text.
z.config({ jitless: true });

const tell = (message: FromWorker, transfer: Transferable[] = []): void => postMessage(message, { transfer });
const takes = new TakeDesk(tell);
const tasks = new TaskDesk(takes, tell);

addEventListener("message", ({ data }: MessageEvent<ToWorker>) => void answer(data));

async function answer(message: ToWorker): Promise<void> {
  switch (message.kind) {
    case "open":
      try {
        await takes.open(message.take, message.file);
      } catch (cause) {
        tell({ kind: "refused", take: message.take, isOtherKind: false, problems: [problemOf(cause)] });
      }
      return;
    case "begin":
      takes.begin(message.take, message.sampleRateHz, message.channelCount);
      return;
    case "append":
      takes.append(message.take, message.channels);
      return;
    case "end":
      takes.end(message.take);
      return;
    case "forget":
      takes.forget(message.take);
      return;
    case "window":
      takes.window(message.take, message.channel, message.from, message.count);
      return;
    case "wav":
      tell({ kind: "wav", ticket: message.ticket, parts: await takes.wav(message.take) });
      return;
    case "cancel":
      tasks.cancel(message.ticket);
      return;
    case "task": {
      const { ticket } = message;
      try {
        tell({ kind: "done", ticket, result: await tasks.run(ticket, message.task) });
      } catch (cause) {
        const problems = cause instanceof CancelledError ? [] : [problemOf(cause)];
        tell({ kind: "failed", ticket, problems });
      }
    }
  }
}

function problemOf(cause: unknown): Problem {
  const message = cause instanceof Error ? cause.message : String(cause);
  return { code: "tape-work", severity: "error", message, where: {} };
}
