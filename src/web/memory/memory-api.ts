import {
  type MemoryReads,
  memoryAnswerSchema,
  memoryMeansSchema,
  type PictureAsk,
  pictureAnswerSchema,
  type Seen,
  seenAnswerSchema,
} from "../../app/api/memory.js";
import {
  type BeaconSeen,
  beaconVerdictSchema,
  type SelfTestBuild,
  type SelfTestOptions,
  selfTestImageSchema,
  selfTestSheetSchema,
} from "../../app/api/self-test.js";
import { request } from "../net/request.js";

const path = (job: string, ...more: readonly string[]): string =>
  `/jobs/${encodeURIComponent(job)}/memory${more.map((word) => `/${word}`).join("")}`;

/** The requests of the memory page. All throw `RequestError`. */
export const memoryApi = {
  means: (job: string) => request(path(job), memoryMeansSchema),
  explain: (job: string, body: MemoryReads) =>
    request(path(job, "explain"), memoryAnswerSchema, { method: "POST", body }),
  picture: (job: string, body: PictureAsk) =>
    request(path(job, "picture"), pictureAnswerSchema, { method: "POST", body }),
  seen: (job: string, body: Seen) => request(path(job, "seen"), seenAnswerSchema, { method: "POST", body }),
  selfTest: (job: string, body: SelfTestOptions) =>
    request(path(job, "self-test"), selfTestSheetSchema, { method: "POST", body }),
  buildSelfTest: (job: string, body: SelfTestBuild) =>
    request(path(job, "self-test", "build"), selfTestImageSchema, { method: "POST", body }),
  readBeacon: (job: string, body: BeaconSeen) =>
    request(path(job, "self-test", "read"), beaconVerdictSchema, { method: "POST", body }),
};
