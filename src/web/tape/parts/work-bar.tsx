import type { ReactNode } from "react";
import { useStore } from "../../state/store.js";
import { tapeDesk } from "../work/desk.js";

/** Work in hand: how far it is, and the way to give it up. */
export function WorkBar(): ReactNode {
  const desk = tapeDesk();
  const work = useStore(desk.work);
  if (work === null) return null;
  const percent = Math.round(100 * work.share);
  return (
    <div className="work">
      <label>
        <span>{work.words}</span>
        <progress max={100} value={percent} />
        <span className="place">{percent} %</span>
      </label>
      <button type="button" className="slab-button" onClick={() => desk.cancel()}>
        Give up
      </button>
    </div>
  );
}
