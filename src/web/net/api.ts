import { z } from "zod";
import { deviceSchema, statusSchema } from "../../app/api/access.js";
import { boardDetailSchema, boardSummarySchema } from "../../app/api/boards.js";
import type { NewEntry } from "../../app/api/entry.js";
import { findingsSchema } from "../../app/api/findings.js";
import {
  entryAnswerSchema,
  jobDetailSchema,
  jobSummarySchema,
  type NewJob,
  understoodSchema,
} from "../../app/api/jobs.js";
import {
  boardDiffSchema,
  boardVersionSchema,
  keptVersionSchema,
  madeBoardSchema,
  type NewBoard,
  type Program,
} from "../../app/api/own-boards.js";
import { type NewType, typeDetailSchema, typeSummarySchema } from "../../app/api/own-types.js";
import { partPageSchema } from "../../app/api/part-page.js";
import { type PhotoMarks, type PhotoSide, photoSchema } from "../../app/api/photos.js";
import {
  type PracticeStep,
  practiceAnswerSchema,
  practiceHintSchema,
  practicePathsSchema,
  practiceViewSchema,
} from "../../app/api/practice.js";
import { doneSchema } from "../../app/api/shapes.js";
import { whyPageSchema } from "../../app/api/why-page.js";
import type { Verdict } from "../../core/job/job-entry.js";
import { newClientId } from "./client-id.js";
import { request } from "./request.js";

const path = (...words: readonly string[]): string => `/${words.map(encodeURIComponent).join("/")}`;

/** Every request the page makes. All throw `RequestError`. */
export const api = {
  status: () => request("/status", statusSchema),
  pair: (code: string, label: string) =>
    request("/pairing", z.unknown(), { method: "POST", body: { code, label } }),
  devices: () => request("/devices", z.array(deviceSchema)),
  dropDevice: (id: string) => request(path("devices", id), doneSchema, { method: "DELETE" }),

  boards: () => request("/boards", z.array(boardSummarySchema)),
  boardAt: (address: string) => request(address, boardDetailSchema),
  makeBoard: (board: NewBoard) => request("/boards", madeBoardSchema, { method: "POST", body: board }),
  boardVersions: (id: string) => request(path("boards", id, "versions"), z.array(boardVersionSchema)),
  boardDiff: (id: string, before: number, after: number) =>
    request(`${path("boards", id, "diff")}?before=${before}&after=${after}`, boardDiffSchema),
  programPart: (id: string, program: Program) =>
    request(path("boards", id, "program"), keptVersionSchema, { method: "POST", body: program }),
  removeBoard: (id: string) => request(path("boards", id), doneSchema, { method: "DELETE" }),

  types: () => request("/types", z.array(typeSummarySchema)),
  type: (name: string) => request(path("types", name), typeDetailSchema),
  setType: (type: NewType["type"]) => request("/types", typeDetailSchema, { method: "POST", body: { type } }),
  removeType: (name: string) => request(path("types", name), doneSchema, { method: "DELETE" }),

  photos: (job: string) => request(path("jobs", job, "photos"), z.array(photoSchema)),
  putPhoto: (job: string, side: PhotoSide, data: string) =>
    request(path("jobs", job, "photos"), photoSchema, { method: "POST", body: { side, data } }),
  markPhoto: (job: string, side: PhotoSide, marks: PhotoMarks) =>
    request(path("jobs", job, "photos", side, "marks"), photoSchema, { method: "POST", body: marks }),
  removePhoto: (job: string, side: PhotoSide) =>
    request(path("jobs", job, "photos", side), doneSchema, { method: "DELETE" }),

  jobs: () => request("/jobs", z.array(jobSummarySchema)),
  openJob: (job: NewJob) => request("/jobs", jobDetailSchema, { method: "POST", body: job }),
  job: (id: string, signal?: AbortSignal) =>
    request(path("jobs", id), jobDetailSchema, signal === undefined ? {} : { signal }),
  findings: (id: string, signal?: AbortSignal) =>
    request(path("jobs", id, "findings"), findingsSchema, signal === undefined ? {} : { signal }),
  addEntry: (job: string, entry: NewEntry) =>
    request(path("jobs", job, "entries"), entryAnswerSchema, { method: "POST", body: entry }),
  understand: (job: string, text: string, signal: AbortSignal) =>
    request(path("jobs", job, "understand"), understoodSchema, { method: "POST", body: { text }, signal }),
  partPage: (job: string, ref: string) => request(path("jobs", job, "parts", ref), partPageSchema),
  whyPage: (job: string, ref: string) => request(path("jobs", job, "suspects", ref), whyPageSchema),
  closeJob: (job: string, verdict: Verdict) =>
    request(path("jobs", job, "close"), entryAnswerSchema, {
      method: "POST",
      body: { id: newClientId(), verdict },
    }),
  reopenJob: (job: string) =>
    request(path("jobs", job, "reopen"), entryAnswerSchema, { method: "POST", body: { id: newClientId() } }),
  cancel: (job: string) => request(path("jobs", job, "cancel"), doneSchema, { method: "POST" }),

  hideFault: (board: string, seed: number | undefined) =>
    request("/practice", practiceViewSchema, {
      method: "POST",
      body: seed === undefined ? { board } : { board, seed },
    }),
  game: (id: string) => request(path("practice", id), practiceViewSchema),
  play: (id: string, step: PracticeStep) =>
    request(path("practice", id, "steps"), practiceAnswerSchema, { method: "POST", body: step }),
  hint: (id: string) => request(path("practice", id, "hint"), practiceHintSchema),
  giveUp: (id: string) => request(path("practice", id, "give-up"), practiceViewSchema, { method: "POST" }),
  paths: (id: string) => request(path("practice", id, "paths"), practicePathsSchema),
};
