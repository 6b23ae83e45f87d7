import type { PlayedGame } from "../../app/practice.js";
import { minutesText, type Paint, padStart, wrap } from "../text.js";

/** A game the plan played by itself, step by step, and what was hidden. */
export function renderGame(game: PlayedGame, paint: Paint): string[] {
  const { truth, path, reported, minutes, rank, stoppedAfter, fixed } = game;
  const lines = [
    paint.bold(`Practice on ${game.board}, seed ${game.seed}: readings are answered from the model`),
    ...wrap(reported.join(", "), "Reported: "),
  ];
  for (const [i, { step, answer, minutes: own }] of path.entries())
    lines.push(...wrap(`${step}: ${answer} (${minutesText(own)})`, ` ${padStart(String(i + 1), 3)}  `));
  const times = { permanent: "", "warm-only": ", when warm", intermittent: ", now and then" };
  const when = Object.entries(times).find(([name]) => name === truth.manifestation)?.[1] ?? "";
  const detail = truth.detail === "" ? "" : `, ${truth.detail}`;
  lines.push(
    ...wrap(`${truth.part}: ${truth.mode.replaceAll("-", " ")} (${truth.site}${detail}${when})`, "Hidden: "),
  );
  const place =
    rank === null
      ? "measuring never ended"
      : `place ${rank} when measuring ended after ${stoppedAfter} steps`;
  lines.push(`${fixed ? "Repaired" : "Not repaired"} after ${minutesText(minutes)}; ${place}.`);
  return lines;
}
