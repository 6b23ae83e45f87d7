import { randomInt, randomUUID } from "node:crypto";
import { z } from "zod";
import {
  newPracticeSchema,
  practiceAnswerSchema,
  practiceHintSchema,
  practicePathsSchema,
  practiceStepSchema,
  practiceViewSchema,
} from "../../app/api/practice.js";
import { doneSchema } from "../../app/api/shapes.js";
import { BoardwakeError } from "../../core/base/errors.js";
import { type Endpoint, endpoint, takesNothing } from "./endpoint.js";

const gameId = z.object({ id: z.string().max(80) });
const mostSeeds = 1_000_000;

/** Practice games. */
export const practiceEndpoints: readonly Endpoint[] = [
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/practice",
      summary: "Start a game: a fault is hidden on a simulated machine",
      tag: "practice",
      access: "paired",
      body: newPracticeSchema,
      answer: practiceViewSchema,
      errors: ["board-unknown", "work-cancelled"],
    },
    async ({ games, boards }, { body }) => {
      const { source } = boards.get(body.board);
      const board = { board: body.board, source };
      return { body: await games.open(randomUUID(), board, body.seed ?? randomInt(mostSeeds)) };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/practice/{id}",
      summary: "A game as it stands",
      tag: "practice",
      access: "paired",
      params: gameId,
      answer: practiceViewSchema,
      errors: ["game-unknown"],
    },
    async ({ games }, { params }) => ({ body: await games.view(params.id) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/practice/{id}/steps",
      summary: "Ask the simulated machine: a reading, work on a part, or what the tool proposes",
      tag: "practice",
      access: "paired",
      params: gameId,
      body: practiceStepSchema,
      answer: practiceAnswerSchema,
      errors: ["game-unknown", "game-over", "step-unknown"],
    },
    async ({ games }, { params, body }) => ({ body: await games.ask(params.id, body) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/practice/{id}/hint",
      summary: "What the plan would do next",
      tag: "practice",
      access: "paired",
      params: gameId,
      answer: practiceHintSchema,
      errors: ["game-unknown", "work-cancelled"],
    },
    async ({ games }, { params }) => ({ body: await games.hint(params.id) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/practice/{id}/give-up",
      summary: "End the game and show the hidden fault",
      tag: "practice",
      access: "paired",
      params: gameId,
      answer: practiceViewSchema,
      errors: ["game-unknown"],
    },
    async ({ games }, { params }) => ({ body: await games.giveUp(params.id) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/practice/{id}/paths",
      summary: "After the game: the player's way and the tool's; the first time takes some seconds",
      tag: "practice",
      access: "paired",
      params: gameId,
      answer: practicePathsSchema,
      errors: ["game-unknown", "game-open", "work-cancelled"],
    },
    async ({ games }, { params }) => ({ body: await games.bothPaths(params.id) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/practice/{id}/cancel",
      summary: "Stop what is being worked out for a game",
      tag: "practice",
      access: "paired",
      params: gameId,
      answer: doneSchema,
      errors: ["game-unknown"],
    },
    ({ games }, { params }) => {
      if (!games.cancel(params.id)) throw new BoardwakeError("game-unknown", { game: params.id });
      return { body: { done: true as const } };
    },
  ),
];
