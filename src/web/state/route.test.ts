import { describe, expect, it } from "vitest";
import { addressOf, parseRoute, type Route } from "./route.js";

const routes: readonly Route[] = [
  { page: "jobs" },
  { page: "new-job" },
  { page: "job", job: "11111111-1111-4111-8111-111111111111" },
  { page: "part", job: "j", ref: "U12" },
  { page: "why", job: "j", ref: "odd/ref #1" },
  { page: "memory", job: "6f0c" },
  { page: "practice" },
  { page: "game", game: "g" },
  { page: "tape" },
  { page: "deck" },
  { page: "boards" },
  { page: "board", board: "attic-2" },
  { page: "types" },
  { page: "settings" },
];

describe("an address", () => {
  it.each(routes.map((route) => [addressOf(route), route] as const))(
    "%s names its page",
    (address, route) => {
      expect(parseRoute(address)).toEqual(route);
    },
  );

  it.each([
    "#/nowhere",
    "#/job",
    "#/job/j/part",
    "#/job/j/part/U1/more",
    "#/job/j/memory/U1",
    "#/new/more",
    "#/tape/more",
    "#/deck/more",
    "#/boards/attic/more",
    "#/types/more",
    "#/practice/g/more",
  ])("%s names none", (address) => {
    expect(parseRoute(address)).toEqual({ page: "lost" });
  });

  it("that cannot be decoded is taken as it stands", () => {
    expect(parseRoute("#/job/%E0%A4%A")).toEqual({ page: "job", job: "%E0%A4%A" });
  });
});
