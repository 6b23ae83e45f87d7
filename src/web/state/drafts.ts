import { z } from "zod";
import { createKeepsake } from "./keepsakes.js";

/** What was begun in the entry line of each job and not sent yet. */
export const drafts = createKeepsake("drafts", z.record(z.string(), z.string()), {});

/** Keeps the text begun in a job's entry line; an empty one is forgotten. */
export function keepDraft(job: string, text: string): void {
  drafts.update((now) => {
    const { [job]: _, ...others } = now;
    return text === "" ? others : { ...others, [job]: text };
  });
}
