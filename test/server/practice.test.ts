import { afterAll, beforeAll, describe, expect, it } from "vitest";
import {
  practiceAnswerSchema,
  practiceHintSchema,
  practicePathsSchema,
  practiceViewSchema,
} from "../../src/app/api/practice.js";
import { openTestBench, type TestBench } from "../support/bench.js";

let test: TestBench;
beforeAll(() => {
  test = openTestBench();
});
afterAll(() => test.close());

async function start(seed: number) {
  const { body } = await test.ask("POST", "/practice", { board: "merrow", seed });
  return practiceViewSchema.parse(body);
}

describe("a practice game", () => {
  it("begins with the complaint and hides its fault", async () => {
    const game = await start(13);
    expect(game).toMatchObject({
      board: "merrow",
      boardTitle: "Merrow",
      seed: 13,
      state: "open",
      truth: null,
    });
    expect(game.complaint.length).toBeGreaterThan(0);
    expect(game.observables.map(({ id }) => id)).toContain("picture");
    expect((await test.ask("GET", `/practice/${game.id}`)).body).toEqual(game);
  });

  it("answers readings in any of their forms, and counts the minutes", async () => {
    const game = await start(13);
    const ask = async (step: unknown) =>
      practiceAnswerSchema.parse((await test.ask("POST", `/practice/${game.id}/steps`, step)).body);
    const typed = await ask({ text: "U45.6" });
    expect(typed.answer).toContain("U45.6 with the logic probe: ");
    const tapped = await ask({ at: "U45.6", with: "logic-probe" });
    expect(tapped.game.steps.at(-1)).toMatchObject({ place: { part: "U45", pin: "6" } });
    const rail = await ask({ at: "rail:+5V", with: "multimeter" });
    expect(rail.answer).toContain("+5V with the multimeter: ");
    const look = await ask({ at: "picture" });
    expect(look.answer).toContain("Symptom: ");
    expect(look.game.minutes).toBeCloseTo(
      [typed, tapped, rail, look].reduce((sum, { minutes }) => sum + minutes, 0),
    );
    expect(look.game.steps).toHaveLength(4);
  });

  it("is over when the hidden part is replaced, and then shows both ways", async () => {
    const lost = await start(13);
    const { truth } = practiceViewSchema.parse((await test.ask("POST", `/practice/${lost.id}/give-up`)).body);
    const part = truth?.part;
    const game = await start(13);
    expect(await test.ask("GET", `/practice/${game.id}/paths`)).toMatchObject({
      status: 409,
      body: { error: { code: "game-open" } },
    });
    const answer = practiceAnswerSchema.parse(
      (await test.ask("POST", `/practice/${game.id}/steps`, { part, repair: "replace" })).body,
    );
    expect(answer).toMatchObject({
      fixed: true,
      game: { state: "fixed", truth: { part: "U34", type: "2114" } },
    });
    expect(await test.ask("POST", `/practice/${game.id}/steps`, { text: "U1.1" })).toMatchObject({
      status: 409,
      body: { error: { code: "game-over" } },
    });
    const paths = practicePathsSchema.parse((await test.ask("GET", `/practice/${game.id}/paths`)).body);
    expect(paths.truth).toEqual(truth);
    expect(paths.player).toMatchObject({ fixed: true, steps: [{ step: `replace ${part}` }] });
    expect(paths.tool.steps.length).toBeGreaterThan(0);
    expect(paths.tool.minutes).toBeCloseTo(paths.tool.steps.reduce((sum, { minutes }) => sum + minutes, 0));
  }, 120_000);

  it("shows its fault to who gives up", async () => {
    const game = await start(12);
    const ended = practiceViewSchema.parse((await test.ask("POST", `/practice/${game.id}/give-up`)).body);
    expect(ended).toMatchObject({ state: "given-up", truth: { part: expect.any(String) } });
  });

  it("does what the plan proposes, and tells it as a hint before", async () => {
    const game = await start(13);
    const hint = practiceHintSchema.parse((await test.ask("GET", `/practice/${game.id}/hint`)).body);
    const answer = practiceAnswerSchema.parse(
      (await test.ask("POST", `/practice/${game.id}/steps`, { proposed: true })).body,
    );
    expect(answer.minutes).toBe(hint.minutes);
    expect(answer.game.steps[0]?.place).toEqual(hint.place);
  });

  it("is the same for the same seed, also when it has to be played again", async () => {
    const asked = [
      { text: "U45.6" },
      { text: "U17.11" },
      { part: "U33", repair: "replace" },
      { text: "keys" },
    ];
    const play = async (between: () => Promise<unknown>) => {
      const game = await start(13);
      const answers: string[] = [];
      for (const step of asked) {
        await between();
        const { body } = await test.ask("POST", `/practice/${game.id}/steps`, step);
        answers.push(practiceAnswerSchema.parse(body).answer);
      }
      return answers;
    };
    const once = await play(() => Promise.resolve());
    // Other games push this one out of what the engine keeps.
    const again = await play(async () => {
      for (let seed = 100; seed < 113; seed += 1) await start(seed);
    });
    expect(again).toEqual(once);
  });

  it.each([
    ["an unknown board", { board: "merow" }, 404, { code: "board-unknown", suggestions: ["merrow"] }],
    ["a seed that is none", { board: "merrow", seed: 1.5 }, 422, { where: "seed" }],
  ])("with %s is not begun", async (_, body, status, error) => {
    expect(await test.ask("POST", "/practice", body)).toMatchObject({ status, body: { error } });
  });

  it.each([
    ["nothing that is there", { text: "U99.1" }, { code: "not-understood", suggestions: ["U19"] }],
    ["nothing at all", {}, { code: "field-invalid" }],
    ["an instrument that is not at hand", { at: "U1.1", with: "oscilloscope" }, { code: "not-understood" }],
    ["a soldered part reseated", { part: "U33", repair: "reseat" }, { code: "not-understood" }],
  ])("asked for %s refuses, and the game goes on", async (_, step, error) => {
    const game = await start(13);
    const asked = await test.ask("POST", `/practice/${game.id}/steps`, step);
    expect(asked).toMatchObject({ status: 422, body: { error } });
    expect((await test.ask("GET", `/practice/${game.id}`)).body).toEqual(game);
  });

  it.each([
    ["GET", ""],
    ["GET", "/hint"],
    ["GET", "/paths"],
    ["POST", "/give-up"],
    ["POST", "/cancel"],
  ] as const)("that is unknown is not found: %s %s", async (method, path) => {
    expect(await test.ask(method, `/practice/nobody${path}`)).toMatchObject({
      status: 404,
      body: { error: { code: "game-unknown" } },
    });
  });
});
