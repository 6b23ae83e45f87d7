import type { Problem } from "../../../core/base/problem.js";
import type { LearnedTape } from "../../../core/tape/learn.js";
import type { TapeMargins } from "../../../core/tape/margin.js";
import type { TapeScheme } from "../../../core/tape/scheme.js";
import type { Reading } from "./reading.js";

/** How a recording is to be made. */
export interface MakingOptions {
  readonly sampleRateHz: number;
  readonly level: number;
  readonly isInverted: boolean;
  readonly edges: "sine" | "rounded" | "square";
  readonly leaderSeconds?: number;
}

/** Work that takes a while and can be given up. */
export type Task =
  | { readonly kind: "read"; readonly takes: readonly number[]; readonly scheme: TapeScheme }
  | { readonly kind: "learn"; readonly take: number }
  | { readonly kind: "margin"; readonly scheme: TapeScheme; readonly bytes: Uint8Array }
  | {
      readonly kind: "clean";
      readonly scheme: TapeScheme;
      /** The bytes of each block as they stood on the tape, headers and check values included. */
      readonly blocks: readonly Uint8Array[];
      readonly options: MakingOptions;
    }
  | {
      readonly kind: "make";
      readonly scheme: TapeScheme;
      readonly bytes: Uint8Array;
      readonly options: MakingOptions;
    };

/** What a task comes to. */
export type TaskResult =
  | { readonly kind: "read"; readonly reading: Reading }
  | { readonly kind: "learn"; readonly learned: LearnedTape }
  | { readonly kind: "margin"; readonly margins: TapeMargins | undefined }
  | { readonly kind: "made"; readonly samples: Float32Array; readonly sampleRateHz: number };

/** What the page asks of the worker. */
export type ToWorker =
  | { readonly kind: "open"; readonly take: number; readonly file: File }
  | {
      readonly kind: "begin";
      readonly take: number;
      readonly sampleRateHz: number;
      readonly channelCount: number;
    }
  | { readonly kind: "append"; readonly take: number; readonly channels: readonly Float32Array[] }
  | { readonly kind: "end"; readonly take: number }
  | { readonly kind: "forget"; readonly take: number }
  | {
      readonly kind: "window";
      readonly take: number;
      readonly channel: number;
      readonly from: number;
      readonly count: number;
    }
  | { readonly kind: "wav"; readonly take: number; readonly ticket: number }
  | { readonly kind: "task"; readonly ticket: number; readonly task: Task }
  | { readonly kind: "cancel"; readonly ticket: number };

/** What the worker tells the page. */
export type FromWorker =
  | {
      readonly kind: "begun";
      readonly take: number;
      readonly sampleRateHz: number;
      readonly channelCount: number;
      readonly totalSeconds?: number;
    }
  | {
      readonly kind: "grown";
      readonly take: number;
      /** Samples of each channel so far. */
      readonly samples: number;
      /** Of each channel: cells for its pyramid, columns for its map of intervals. */
      readonly cells: readonly Float32Array[];
      readonly columns: readonly Uint16Array[];
    }
  | { readonly kind: "ended"; readonly take: number; readonly problems: readonly Problem[] }
  | {
      readonly kind: "refused";
      readonly take: number;
      /** True if another decoder may make something of the file. */
      readonly isOtherKind: boolean;
      readonly problems: readonly Problem[];
    }
  | {
      readonly kind: "window";
      readonly take: number;
      readonly channel: number;
      readonly from: number;
      readonly samples: Float32Array;
    }
  | { readonly kind: "wav"; readonly ticket: number; readonly parts: readonly Uint8Array[] }
  | { readonly kind: "progress"; readonly ticket: number; readonly share: number }
  | { readonly kind: "done"; readonly ticket: number; readonly result: TaskResult }
  | { readonly kind: "failed"; readonly ticket: number; readonly problems: readonly Problem[] };
