import { z } from "zod";
import { boardDetailSchema, boardSummarySchema } from "../../app/api/boards.js";
import { boardDetail, boardSummaries } from "../../app/jobs/board-views.js";
import { type Endpoint, endpoint, takesNothing } from "./endpoint.js";

/** Boards to choose from and to draw. */
export const boardEndpoints: readonly Endpoint[] = [
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/boards",
      summary: "Boards to choose from",
      tag: "boards",
      access: "paired",
      answer: z.array(boardSummarySchema),
      errors: [],
    },
    ({ boards }) => ({ body: boardSummaries(boards) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/boards/{id}",
      summary: "A board as it is drawn, with the symptoms, instruments and events that a job on it can name",
      tag: "boards",
      access: "paired",
      params: z.object({ id: z.string().max(80) }),
      query: z.object({
        version: z
          .string()
          .regex(/^\d{1,6}$/)
          .optional()
          .describe("Version of a board of one's own; the newest if absent."),
      }),
      answer: boardDetailSchema,
      errors: ["board-unknown"],
    },
    ({ boards, parts }, { params, query }) => {
      const version = query.version === undefined ? undefined : Number(query.version);
      return { body: boardDetail(parts.store, boards.get(params.id, version)) };
    },
  ),
];
