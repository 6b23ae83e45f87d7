import { z } from "zod";
import {
  memoryAnswerSchema,
  memoryMeansSchema,
  memoryReadsSchema,
  mostFailureBytes,
  pictureAnswerSchema,
  pictureAskSchema,
  seenAnswerSchema,
  seenSchema,
} from "../../app/api/memory.js";
import {
  beaconSeenSchema,
  beaconVerdictSchema,
  selfTestBuildSchema,
  selfTestImageSchema,
  selfTestOptionsSchema,
  selfTestSheetSchema,
} from "../../app/api/self-test.js";
import type { Bench } from "../bench.js";
import { type Endpoint, endpoint, takesNothing } from "./endpoint.js";

const jobId = z.object({ id: z.string().max(80) });

/** The board of a job, as the engine takes it. */
function onBoard(bench: Bench, job: string) {
  const { board, source } = bench.book.order(job);
  return { board, source };
}

/** Memory: failing addresses explained, and what a memory fault draws on the screen. */
export const memoryEndpoints: readonly Endpoint[] = [
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/jobs/{id}/memory",
      summary: "The memory of the job's board, and the faults whose picture can be drawn",
      tag: "jobs",
      access: "paired",
      params: jobId,
      answer: memoryMeansSchema,
      errors: ["job-unknown", "work-cancelled"],
    },
    async (bench, { params: { id } }) => ({
      body: await bench.parts.engine.run("memory-means", onBoard(bench, id), { key: `page:${id}` }),
    }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/memory/explain",
      summary: "From failing addresses to the parts that explain them; changes nothing",
      tag: "jobs",
      access: "paired",
      params: jobId,
      body: memoryReadsSchema,
      answer: memoryAnswerSchema,
      mostBytes: mostFailureBytes,
      errors: ["job-unknown", "work-cancelled"],
    },
    async (bench, { params: { id }, body: given }) => ({
      body: await bench.parts.engine.run(
        "memory-explain",
        { ...onBoard(bench, id), given },
        { key: `page:${id}` },
      ),
    }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/memory/picture",
      summary: "The screen with and without a memory fault",
      tag: "jobs",
      access: "paired",
      params: jobId,
      body: pictureAskSchema,
      answer: pictureAnswerSchema,
      errors: ["job-unknown", "work-cancelled"],
    },
    async (bench, { params: { id }, body: given }) => ({
      body: await bench.parts.engine.run(
        "memory-picture",
        { ...onBoard(bench, id), given },
        { key: `page:${id}` },
      ),
    }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/memory/seen",
      summary: "From stripes or wrong characters on the screen to the memory faults that make them",
      tag: "jobs",
      access: "paired",
      params: jobId,
      body: seenSchema,
      answer: seenAnswerSchema,
      errors: ["job-unknown", "work-cancelled"],
    },
    async (bench, { params: { id }, body: given }) => ({
      body: await bench.parts.engine.run(
        "memory-seen",
        { ...onBoard(bench, id), given },
        { key: `page:${id}` },
      ),
    }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/memory/self-test",
      summary: "The sheet of the board's self-test in ROM: where the probe goes, what the signals mean",
      tag: "jobs",
      access: "paired",
      params: jobId,
      body: selfTestOptionsSchema,
      answer: selfTestSheetSchema,
      errors: ["job-unknown", "work-cancelled"],
    },
    async (bench, { params: { id }, body: given }) => ({
      body: await bench.parts.engine.run(
        "self-test-sheet",
        { ...onBoard(bench, id), given },
        { key: `page:${id}` },
      ),
    }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/memory/self-test/build",
      summary:
        "The self-test as binary, HEX, S-records, listing and sheet, after it was tried on a processor core",
      tag: "jobs",
      access: "paired",
      params: jobId,
      body: selfTestBuildSchema,
      answer: selfTestImageSchema,
      errors: ["job-unknown", "work-cancelled"],
    },
    async (bench, { params: { id }, body: given }) => ({
      body: await bench.parts.practiceEngine.run(
        "self-test-build",
        { ...onBoard(bench, id), given },
        { key: `build:${id}` },
      ),
    }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/memory/self-test/read",
      summary: "What the signals of the self-test mean on this board; changes nothing",
      tag: "jobs",
      access: "paired",
      params: jobId,
      body: beaconSeenSchema,
      answer: beaconVerdictSchema,
      errors: ["job-unknown", "work-cancelled"],
    },
    async (bench, { params: { id }, body: given }) => ({
      body: await bench.parts.engine.run(
        "self-test-read",
        { ...onBoard(bench, id), given },
        { key: `page:${id}` },
      ),
    }),
  ),
];
