import { describeEntry } from "../../app/describe-entry.js";
import type { Misread } from "../../app/line/context.js";
import type { PracticeGame, PracticeReply } from "../../app/practice-game.js";
import { type CliContext, exitCodes, paintFor, printLines } from "../context.js";
import { renderStep } from "../render/step.js";
import { renderSuspects, renderWhy } from "../render/suspects.js";
import { minutesText, sentence, wrap } from "../text.js";

const help = [
  "U12.6, U12.6 scope        touch a pin, with the probe or another instrument",
  "+5V, +5V short            measure a rail; with the power off, to ground",
  "U4.7-U9.3                 do these two pins ring together?",
  "U12 finger, C18 eye       feel or look at a part; also: board finger",
  "supply                    current drawn from the supply",
  "picture, keys, sound      what the machine does; also: reaction, tape, lamp",
  "replace U12               also: reseat, resolder, clean, piggyback",
  "plan                      what the plan would do next",
  "go                        do it",
  "suspects, why U12         what the plan makes of your readings",
  "give up                   show the hidden fault and end",
] as const;

/** Lets somebody find a hidden fault by asking a simulated machine; returns the exit code. */
export async function playPractice(context: CliContext, game: PracticeGame): Promise<number> {
  const { io } = context;
  const paint = paintFor(io);
  const print = (lines: readonly string[]): void => printLines(io, lines);
  const { session } = game;
  print([
    paint.bold(`Practice: ${session.prepared.board.title}. The machine is simulated; nothing can hurt.`),
    "Type 'help' for what can be asked, 'give up' to see the fault.",
    "",
  ]);
  for (const entry of session.log.entries) print(wrap(describeEntry(entry, session.symptoms), "  "));
  for (;;) {
    const line = await io.readLine("> ");
    const text = line?.trim() ?? "give up";
    if (line === undefined || /^(?:give up|quit|exit|q)$/i.test(text)) {
      print(["", ...truthLines(game)]);
      return exitCodes.done;
    }
    const reply = respond(text);
    if (reply?.fixed === true) {
      print(["", paint.green(`It works, after ${minutesText(game.minutes)}.`), ...truthLines(game)]);
      return exitCodes.done;
    }
  }

  function respond(text: string): PracticeReply | undefined {
    const [word = "", second] = text.split(/\s+/);
    const step = session.result.next.find(({ action }) => action !== "gate");
    switch (word.toLowerCase()) {
      case "":
        return undefined;
      case "help":
        print(help.map((one) => `  ${one}`));
        return undefined;
      case "plan":
        if (step === undefined) print(["The plan has nothing left to do."]);
        else print(renderStep(step, session.answers(step), session.prepared.board, paint));
        return undefined;
      case "suspects":
        print(renderSuspects(session.result, { count: 10, withModes: 3 }, paint));
        return undefined;
      case "why": {
        const suspect = session.suspect(second ?? "");
        if ("message" in suspect) complain(suspect);
        else print(renderWhy(suspect, paint));
        return undefined;
      }
      case "go":
        return step === undefined ? undefined : tell(game.takeProposed(step));
      default: {
        const reply = game.ask(text);
        if (!("message" in reply)) return tell(reply);
        complain(reply);
        return undefined;
      }
    }
  }

  function tell(reply: PracticeReply): PracticeReply {
    print(wrap(`${reply.says} (${minutesText(reply.minutes)}, ${minutesText(game.minutes)} so far)`));
    return reply;
  }

  function complain({ message, hint }: Misread): void {
    print(wrap(`${sentence(message)}${hint === undefined ? "" : ` ${hint}`}`));
  }
}

function truthLines(game: PracticeGame): string[] {
  const { part, mode, site, detail, manifestation } = game.truth;
  const type = game.prepared.board.parts.find(({ ref }) => ref === part)?.type ?? "";
  const where = [site, detail, manifestation].filter((text) => text !== "").join(", ");
  return wrap(`${part} (${type}): ${mode.replaceAll("-", " ")} (${where})`, "Hidden was ", "  ");
}
