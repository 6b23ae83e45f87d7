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
import { partPageSchema } from "../../app/api/part-page.js";
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
  board: (id: string) => request(path("boards", id), boardDetailSchema),

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
