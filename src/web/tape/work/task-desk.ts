import { blocksHalfWaves, encodeTape, renderHalfWaves } from "../../../core/tape/encode.js";
import { learnSeconds, learnTape } from "../../../core/tape/learn.js";
import { marginRecording, tapeMargins } from "../../../core/tape/margin.js";
import type { MakingOptions, Task, TaskResult } from "./messages.js";
import { readTakes } from "./read-takes.js";
import type { Step } from "./step.js";
import type { TakeDesk, Tell } from "./take-desk.js";

/** Rate and noise of the recordings that margins are found with. */
const marginRateHz = 48000;
const marginSeed = 1;

/** Thrown where work stops because it was given up. */
export class CancelledError extends Error {
  constructor() {
    super("given up");
  }
}

/** Does the work of the page, one task at a time or several. */
export class TaskDesk {
  private readonly takes: TakeDesk;
  private readonly tell: Tell;
  private readonly cancelled = new Set<number>();

  constructor(takes: TakeDesk, tell: Tell) {
    this.takes = takes;
    this.tell = tell;
  }

  /** Gives a task up at its next step. */
  cancel(ticket: number): void {
    this.cancelled.add(ticket);
  }

  /** Runs a task to its end. Throws `CancelledError`, and what the work throws. */
  async run(ticket: number, task: Task): Promise<TaskResult> {
    let told = -1;
    const step: Step = async (share) => {
      const percent = Math.floor(100 * share);
      if (percent > told) this.tell({ kind: "progress", ticket, share });
      told = Math.max(told, percent);
      await breathe();
      if (this.cancelled.has(ticket)) throw new CancelledError();
    };
    try {
      return await this.work(task, step);
    } finally {
      this.cancelled.delete(ticket);
    }
  }

  private async work(task: Task, step: Step): Promise<TaskResult> {
    await step(0);
    switch (task.kind) {
      case "read": {
        const stores = task.takes.map((take) => this.takes.store(take));
        return { kind: "read", reading: await readTakes(stores, task.scheme, step) };
      }
      case "learn": {
        const store = this.takes.store(task.take);
        const { sampleRateHz } = store;
        const samples = store.read(0, Math.floor(learnSeconds * sampleRateHz), "mean");
        return { kind: "learn", learned: await learnTape(samples, sampleRateHz) };
      }
      case "margin": {
        const samples = marginRecording(task.scheme, task.bytes, marginRateHz);
        const recording = { samples, sampleRateHz: marginRateHz };
        return { kind: "margin", margins: tapeMargins(task.scheme, task.bytes, recording, marginSeed) };
      }
      case "make": {
        const { sampleRateHz } = task.options;
        const samples = encodeTape(task.scheme, task.bytes, recordingOptions(task.options));
        return { kind: "made", samples, sampleRateHz };
      }
      case "clean": {
        const waves = blocksHalfWaves(task.scheme, task.blocks, task.options.leaderSeconds);
        const samples = renderHalfWaves(waves, recordingOptions(task.options));
        return { kind: "made", samples, sampleRateHz: task.options.sampleRateHz };
      }
    }
  }
}

function recordingOptions({ leaderSeconds, ...rest }: MakingOptions) {
  return leaderSeconds === undefined ? rest : { ...rest, leaderSeconds };
}

/** Lets messages come in between two steps. */
function breathe(): Promise<void> {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      port1.close();
      resolve();
    };
    port2.postMessage(0);
  });
}
