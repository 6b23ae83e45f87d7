import { z } from "zod";
import * as access from "../../app/api/access.js";
import * as boards from "../../app/api/boards.js";
import * as entry from "../../app/api/entry.js";
import * as findings from "../../app/api/findings.js";
import * as jobs from "../../app/api/jobs.js";
import * as memory from "../../app/api/memory.js";
import * as ownBoards from "../../app/api/own-boards.js";
import * as ownTypes from "../../app/api/own-types.js";
import * as part from "../../app/api/part-page.js";
import * as photos from "../../app/api/photos.js";
import * as practice from "../../app/api/practice.js";
import * as selfTest from "../../app/api/self-test.js";
import * as shapes from "../../app/api/shapes.js";
import * as stream from "../../app/api/stream.js";
import * as why from "../../app/api/why-page.js";
import { type ErrorCode, errorCatalogue } from "../../core/base/errors.js";
import type { Endpoint, EndpointFacts } from "./endpoint.js";
import { nothing } from "./endpoint.js";
import { apiRoot, endpoints } from "./endpoints.js";

/** Shapes that are described once and referred to by name. */
const named: Readonly<Record<string, z.ZodType>> = {
  Device: access.deviceSchema,
  Status: access.statusSchema,
  Pairing: access.pairingSchema,
  BoardSummary: boards.boardSummarySchema,
  BoardDetail: boards.boardDetailSchema,
  NewBoard: ownBoards.newBoardSchema,
  ImportReport: ownBoards.importReportSchema,
  MadeBoard: ownBoards.madeBoardSchema,
  BoardVersion: ownBoards.boardVersionSchema,
  BoardDiff: ownBoards.boardDiffSchema,
  Photo: photos.photoSchema,
  TypeSummary: ownTypes.typeSummarySchema,
  Expression: ownTypes.typeExpressionSchema,
  TypeDetail: ownTypes.typeDetailSchema,
  NewType: ownTypes.newTypeSchema,
  LogEntry: entry.logEntrySchema,
  NewEntry: entry.newEntrySchema,
  LogLine: entry.logLineSchema,
  ProbePlace: findings.probePlaceSchema,
  StepView: findings.stepViewSchema,
  Findings: findings.findingsSchema,
  JobSummary: jobs.jobSummarySchema,
  JobDetail: jobs.jobDetailSchema,
  NewJob: jobs.newJobSchema,
  EntryAnswer: jobs.entryAnswerSchema,
  Understood: jobs.understoodSchema,
  PartPage: part.partPageSchema,
  WhyPage: why.whyPageSchema,
  MemoryMeans: memory.memoryMeansSchema,
  MemoryReads: memory.memoryReadsSchema,
  MemoryAnswer: memory.memoryAnswerSchema,
  MemoryPictureAsk: memory.pictureAskSchema,
  MemoryPicture: memory.pictureAnswerSchema,
  MemorySeen: memory.seenSchema,
  MemorySeenAnswer: memory.seenAnswerSchema,
  SelfTestOptions: selfTest.selfTestOptionsSchema,
  SelfTestSheet: selfTest.selfTestSheetSchema,
  SelfTestBuild: selfTest.selfTestBuildSchema,
  SelfTestImage: selfTest.selfTestImageSchema,
  BeaconSeen: selfTest.beaconSeenSchema,
  BeaconVerdict: selfTest.beaconVerdictSchema,
  PracticeStep: practice.practiceStepSchema,
  PracticeView: practice.practiceViewSchema,
  PracticeAnswer: practice.practiceAnswerSchema,
  PracticePaths: practice.practicePathsSchema,
  ErrorBody: shapes.errorBodySchema,
  StreamEvent: stream.streamEventSchema,
};

const commonErrors: readonly ErrorCode[] = [
  "host-refused",
  "origin-refused",
  "request-unreadable",
  "request-too-large",
  "internal",
];

const cache = new Map<string, unknown>();

/** The description of the API as an OpenAPI 3.1 document (OpenAPI Specification 3.1.0), written from the schemas that also check requests. */
export function openApiDocument(version: string): unknown {
  const known = cache.get(version);
  if (known !== undefined) return known;
  const made = makeDocument(version);
  cache.set(version, made);
  return made;
}

function makeDocument(version: string): unknown {
  const registry = z.registry<{ id: string }>();
  for (const [id, schema] of Object.entries(named)) registry.add(schema, { id });
  const uri = (id: string): string => `#/components/schemas/${id}`;
  const { schemas } = z.toJSONSchema(registry, { uri, io: "input", unrepresentable: "any" });
  const shapeOf = (schema: z.ZodType, io: "input" | "output"): unknown => {
    const name = Object.entries(named).find(([, one]) => one === schema)?.[0];
    if (name !== undefined) return { $ref: uri(name) };
    const item = schema instanceof z.ZodArray ? schema.element : undefined;
    const itemName = Object.entries(named).find(([, one]) => one === item)?.[0];
    if (itemName !== undefined) return { type: "array", items: { $ref: uri(itemName) } };
    return withoutSchemaUri(z.toJSONSchema(schema, { io, unrepresentable: "any" }));
  };
  return {
    openapi: "3.1.0",
    info: {
      title: "boardwake bench",
      version,
      description:
        "Jobs on the bench, their logs, and what follows from them. Served on this machine, or on the local network behind a pairing code.",
    },
    servers: [{ url: apiRoot }],
    tags: [
      { name: "access", description: "Who may use the bench" },
      { name: "boards", description: "Boards to work on" },
      { name: "jobs", description: "Jobs and their logs" },
      { name: "practice", description: "Hidden faults on simulated machines" },
    ],
    paths: { ...pathsOf(endpoints, shapeOf), ...streamPath(uri) },
    components: {
      schemas: Object.fromEntries(
        Object.entries(schemas).map(([id, schema]) => [id, withoutSchemaUri(schema)]),
      ),
      securitySchemes: {
        device: {
          type: "apiKey",
          in: "cookie",
          name: "bench-key",
          description: "Set by pairing; this machine itself needs none.",
        },
      },
    },
  };
}

type ShapeOf = (schema: z.ZodType, io: "input" | "output") => unknown;

function pathsOf(list: readonly Endpoint[], shapeOf: ShapeOf): Record<string, Record<string, unknown>> {
  const paths: Record<string, Record<string, unknown>> = {};
  for (const { facts } of list) {
    const path = paths[facts.path] ?? {};
    path[facts.method.toLowerCase()] = operation(facts, shapeOf);
    paths[facts.path] = path;
  }
  return paths;
}

function operation(facts: EndpointFacts, shapeOf: ShapeOf): unknown {
  const parameters = [...parametersOf(facts.params, "path"), ...parametersOf(facts.query, "query")];
  return {
    summary: facts.summary,
    tags: [facts.tag],
    ...(facts.access === "anybody" ? { security: [] } : { security: [{ device: [] }] }),
    ...(parameters.length === 0 ? {} : { parameters }),
    ...(Object.is(facts.body, nothing)
      ? {}
      : {
          requestBody: {
            required: true,
            content: { "application/json": { schema: shapeOf(facts.body, "input") } },
          },
        }),
    responses: {
      200: {
        description: "Done.",
        content: { "application/json": { schema: shapeOf(facts.answer, "output") } },
      },
      ...errorResponses(facts),
    },
  };
}

function errorResponses({ errors, access, body }: EndpointFacts): Record<string, unknown> {
  const codes: readonly ErrorCode[] = [
    ...errors,
    ...(access === "anybody" ? [] : (["not-paired"] as const)),
    ...(Object.is(body, nothing) ? [] : (["input-invalid"] as const)),
    ...commonErrors,
  ];
  const byStatus = new Map<number, ErrorCode[]>();
  for (const code of codes) {
    const { httpStatus } = errorCatalogue[code];
    byStatus.set(httpStatus, [...(byStatus.get(httpStatus) ?? []), code]);
  }
  return Object.fromEntries(
    [...byStatus].map(([status, list]) => [
      String(status),
      {
        description: list.map((code) => `${code}: ${errorCatalogue[code].template}`).join(" "),
        content: { "application/json": { schema: { $ref: "#/components/schemas/ErrorBody" } } },
      },
    ]),
  );
}

function parametersOf(schema: z.ZodType, place: "path" | "query"): unknown[] {
  if (!(schema instanceof z.ZodObject)) return [];
  return Object.entries(schema.shape).map(([name, field]) => ({
    name,
    in: place,
    required: place === "path" || !(field instanceof z.ZodOptional),
    schema: withoutSchemaUri(z.toJSONSchema(field, { io: "input" })),
  }));
}

function streamPath(uri: (id: string) => string): Record<string, unknown> {
  return {
    "/stream": {
      get: {
        summary: "Server-sent events: what is new in any job, findings as they are worked out, progress",
        tags: ["jobs"],
        security: [{ device: [] }],
        parameters: [
          {
            name: "about",
            in: "query",
            required: false,
            description: "Job or game whose findings and progress are wanted; of all if absent.",
            schema: { type: "string" },
          },
        ],
        responses: {
          200: {
            description: "Each `data` line is an event as JSON.",
            content: { "text/event-stream": { schema: { $ref: uri("StreamEvent") } } },
          },
        },
      },
    },
  };
}

function withoutSchemaUri(schema: unknown): unknown {
  if (typeof schema !== "object" || schema === null) return schema;
  return Object.fromEntries(Object.entries(schema).filter(([key]) => key !== "$schema" && key !== "$id"));
}
