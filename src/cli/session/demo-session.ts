import type { Demo, DemoScene } from "../../app/demo-walk.js";
import { describeEntry } from "../../app/describe-entry.js";
import type { CliContext } from "../context.js";
import { exitCodes, paintFor, printLines } from "../context.js";
import { renderNotices } from "../render/found.js";
import { answerLetter, renderStep, stepLine } from "../render/step.js";
import { renderSuspects, renderWhy } from "../render/suspects.js";
import { wrap } from "../text.js";
import { LiveSession } from "./live-session.js";

/** Tells the story of a demo, scene by scene; with pauses it waits for Enter and then hands the session over. */
export async function tellDemo(
  context: CliContext,
  demo: Demo,
  options: { readonly pauses: boolean },
): Promise<number> {
  const { io } = context;
  const { session, opening } = demo;
  const paint = paintFor(io);
  const print = (lines: readonly string[]): void => printLines(io, lines);
  const pause = async (): Promise<boolean> =>
    !options.pauses || (await io.readLine(paint.dim("Enter to go on "))) !== undefined;

  print([paint.bold(`A guided session: ${session.prepared.board.title}`), ""]);
  for (const entry of opening) {
    if (entry.kind === "note") print(wrap(entry.text));
    else print(wrap(describeEntry(entry, session.symptoms), `${paint.green(">")} `));
  }
  print([
    "",
    paint.bold("Suspects"),
    ...renderSuspects(session.result, { count: 5, withModes: 0 }, paint),
    "",
  ]);
  if (!(await pause())) return exitCodes.done;

  let hasShownCard = false;
  for (let scene = demo.next(); scene !== undefined; scene = demo.next()) {
    print(sceneLines(scene, context, demo, !hasShownCard));
    if (scene.kind === "entered" && scene.entry.kind === "reading") hasShownCard = true;
    if (scene.kind === "entered" && !(await pause())) return exitCodes.done;
  }
  print(endLines(context, demo));
  if (!options.pauses) return exitCodes.done;
  print(["", "The session is yours now."]);
  return new LiveSession(context, session, undefined).run({ asksInstruments: false });
}

/** `isFirst`: the plan's own step is shown even where the story goes another way. */
function sceneLines(scene: DemoScene, { io }: CliContext, { session }: Demo, isFirst: boolean): string[] {
  const paint = paintFor(io);
  if (scene.kind === "told") return [...wrap(scene.text), ""];
  const { entry, answer, instead } = scene;
  const lines: string[] = [];
  if (isFirst && instead !== undefined) {
    lines.push(...renderStep(instead, session.answers(instead), session.prepared.board, paint), "");
    lines.push(...wrap("Any other reading can be entered as well; this story does so:"), "");
  }
  if (answer !== undefined) {
    const { step, position } = answer;
    lines.push(...renderStep(step, session.answers(step), session.prepared.board, paint));
    lines.push(
      ...wrap(describeEntry(entry, session.symptoms), `${paint.green(`> ${answerLetter(position)}`)}  `),
      "",
    );
  } else lines.push(...wrap(describeEntry(entry, session.symptoms), `${paint.green(">")} `), "");
  if (entry.kind === "gate") return lines;
  const view = { count: 5, withModes: 1, before: session.before };
  lines.push(...renderNotices(session, paint));
  lines.push(paint.bold("Suspects"), ...renderSuspects(session.result, view, paint), "");
  return lines;
}

/** The named suspect, what spoke for it, and what to do about it. */
function endLines({ io }: CliContext, { session }: Demo): string[] {
  const paint = paintFor(io);
  const [named] = session.result.suspects;
  if (named === undefined) return [];
  const lines = [paint.bold(`Why ${named.part}?`), ...renderWhy(named, paint), ""];
  const [step] = session.result.next;
  if (step !== undefined) lines.push(...wrap(`What the plan would do now: ${stepLine(step)}`));
  return lines;
}
