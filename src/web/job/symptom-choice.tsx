import type { ReactNode } from "react";
import type { BoardDetail } from "../../app/api/boards.js";
import { SymptomPicture } from "./symptom-picture.jsx";

type Symptom = BoardDetail["symptoms"][number];

/** Symptoms by group, each with a picture of what the machine does; of a group at most one is chosen. */
export function SymptomChoice({
  symptoms,
  chosen,
  onChange,
}: {
  readonly symptoms: readonly Symptom[];
  /** Id by group. */
  readonly chosen: ReadonlyMap<string, string>;
  readonly onChange: (next: ReadonlyMap<string, string>) => void;
}): ReactNode {
  const groups = new Map<string, Symptom[]>();
  for (const symptom of symptoms) groups.set(symptom.group, [...(groups.get(symptom.group) ?? []), symptom]);
  const toggle = ({ group, id }: Symptom): void => {
    const next = new Map(chosen);
    if (next.get(group) === id) next.delete(group);
    else next.set(group, id);
    onChange(next);
  };
  return (
    <div className="symptoms">
      {[...groups].map(([group, members]) => (
        <fieldset key={group} className="symptom-group">
          <legend>{members[0]?.groupTitle ?? group}</legend>
          <div className="symptom-tiles">
            {members.map((symptom) => (
              <button
                key={symptom.id}
                type="button"
                className="symptom-tile"
                aria-pressed={chosen.get(group) === symptom.id}
                onClick={() => toggle(symptom)}
              >
                <SymptomPicture id={symptom.id} group={group} />
                <span>{symptom.wording}</span>
              </button>
            ))}
          </div>
        </fieldset>
      ))}
    </div>
  );
}
