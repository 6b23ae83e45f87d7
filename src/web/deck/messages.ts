import type { Problem } from "../../core/base/problem.js";
import type { DeckReading, MeasureOptions } from "../../core/deck/reading.js";

/** What the page asks of its worker. A ticket names one measurement. */
export type ToWorker =
  | { readonly kind: "file"; readonly ticket: number; readonly file: File; readonly options: MeasureOptions }
  | {
      readonly kind: "sound";
      readonly ticket: number;
      readonly sampleRateHz: number;
      readonly channels: readonly Float32Array[];
      readonly options: MeasureOptions;
    }
  | { readonly kind: "begin"; readonly ticket: number; readonly sampleRateHz: number }
  | { readonly kind: "append"; readonly ticket: number; readonly channels: readonly Float32Array[] }
  | { readonly kind: "end"; readonly ticket: number; readonly options: MeasureOptions }
  /** Reads what was heard last once more. */
  | { readonly kind: "again"; readonly ticket: number; readonly options: MeasureOptions }
  | { readonly kind: "forget"; readonly ticket: number };

/** What the worker answers. */
export type FromWorker =
  | { readonly kind: "progress"; readonly ticket: number; readonly seconds: number }
  /** A file that the worker cannot decode; the page tries what the browser has for it. */
  | { readonly kind: "other-kind"; readonly ticket: number }
  | {
      readonly kind: "done";
      readonly ticket: number;
      readonly reading: DeckReading | undefined;
      readonly problems: readonly Problem[];
    };
