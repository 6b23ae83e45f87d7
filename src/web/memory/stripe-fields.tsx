import type { ReactNode } from "react";
import type { MemoryMeans, Seen } from "../../app/api/memory.js";
import type { ScreenPicture } from "../../core/draw/memory-picture.js";

type Means = NonNullable<MemoryMeans["picture"]>;
export type Stripes = Omit<Extract<Seen, { kind: "stripes" }>, "kind">;

/** Fields for even stripes. */
export function StripeFields({
  stripes,
  picture,
  onChange,
}: {
  readonly stripes: Stripes;
  readonly picture: Means;
  readonly onChange: (stripes: Stripes) => void;
}): ReactNode {
  const isDots = picture.kind === "dots";
  const unit = unitOf(stripes, isDots);
  const most =
    stripes.direction === "upright" ? picture.columns * picture.dotsAcross : picture.rows * picture.linesHigh;
  const number = (name: "every" | "at" | "wide", label: string, limit: number): ReactNode => (
    <label className="field field-short">
      {label}
      <input
        type="number"
        min={1}
        max={limit}
        value={stripes[name]}
        onChange={(event) => {
          const value = Math.min(Math.max(1, Math.trunc(Number(event.target.value))), limit);
          onChange({ ...stripes, [name]: value });
        }}
      />
    </label>
  );
  return (
    <div className="stripes">
      <fieldset>
        <legend className="only-heard">Direction of the stripes</legend>
        <div className="tiles">
          {(["upright", "level"] as const).map((direction) => (
            <button
              key={direction}
              type="button"
              className="tile"
              aria-pressed={stripes.direction === direction}
              onClick={() => onChange({ ...stripes, direction })}
            >
              {direction === "upright" ? "Upright" : "Level"}
            </button>
          ))}
        </div>
      </fieldset>
      {isDots && (
        <fieldset>
          <legend className="only-heard">What the stripes are</legend>
          <div className="tiles">
            {(["lit", "dark"] as const).map((becomes) => (
              <button
                key={becomes}
                type="button"
                className="tile"
                aria-pressed={stripes.becomes === becomes}
                onClick={() => onChange({ ...stripes, becomes })}
              >
                {becomes === "lit" ? "Lit on dark" : "Dark on lit"}
              </button>
            ))}
          </div>
        </fieldset>
      )}
      <div className="stripes-numbers">
        {number("every", `One in how many ${unit}s`, most)}
        {number("at", `Which of them, from the ${stripes.direction === "upright" ? "left" : "top"}`, most)}
        {number("wide", `How many ${unit}s wide`, most)}
      </div>
    </div>
  );
}

function unitOf({ direction }: Stripes, isDots: boolean): string {
  if (isDots) return direction === "upright" ? "dot" : "line";
  return direction === "upright" ? "column" : "row";
}

/** The stripes in a sentence. */
export function stripesText(stripes: Stripes): string {
  const { at, wide, every, direction } = stripes;
  const unit = unitOf(stripes, true);
  const which = wide === 1 ? `${unit} ${at}` : `${unit}s ${at} to ${at + wide - 1}`;
  return `${direction === "upright" ? "Upright" : "Level"} stripes: ${which} of every ${every}.`;
}

/** The stripes as a screen. */
export function stripesPicture(stripes: Stripes, means: Means): ScreenPicture {
  const width = means.columns * means.dotsAcross;
  const height = means.rows * means.linesHigh;
  const dots = new Uint8Array(width * height);
  for (let k = 0; k < dots.length; k += 1) {
    const place = (stripes.direction === "upright" ? k % width : Math.floor(k / width)) % stripes.every;
    const inStripe = place >= stripes.at - 1 && place < stripes.at - 1 + stripes.wide;
    dots[k] = inStripe === (stripes.becomes === "lit") ? 1 : 0;
  }
  return { kind: "dots", width, dots };
}
