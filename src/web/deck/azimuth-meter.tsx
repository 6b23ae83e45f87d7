import type { ReactNode } from "react";

/** What is heard of the head just now. */
export interface HeadHeard {
  readonly hz: number;
  /** Level of the tone against the best so far. */
  readonly belowBestDecibel: number;
  /** By how much the left channel is ahead; absent for one channel. */
  readonly aheadRadians?: number;
}

/** Half the width of the level's scale. */
const lowestDecibel = -12;

/**
 * The meter for the azimuth screw: a bar for the level of the tone, which must stay at its best, and a needle for the angle
 * between the channels, which must stand upright.
 */
export function AzimuthMeter({ heard }: { readonly heard: HeadHeard | undefined }): ReactNode {
  const angle = heard?.aheadRadians;
  const share = Math.max(0, Math.min(1, 1 - (heard?.belowBestDecibel ?? lowestDecibel) / lowestDecibel));
  // Half a cycle either way lies along the quarter circles left and right.
  const turn = angle === undefined ? undefined : angle / 2;
  return (
    <div className="mech-azimuth">
      <svg viewBox="0 0 420 230" role="img" aria-label={spoken(heard)}>
        <path className="mech-arc" d="M40 200 A170 170 0 0 1 380 200" />
        {[-90, -45, 0, 45, 90].map((degrees) => {
          const radians = (degrees * Math.PI) / 180;
          const [x, y] = [Math.sin(radians), Math.cos(radians)];
          return (
            <line
              className="mech-arc"
              key={degrees}
              x1={210 + 158 * x}
              y1={200 - 158 * y}
              x2={210 + 178 * x}
              y2={200 - 178 * y}
            />
          );
        })}
        <text className="mech-arc-text" x={22} y={222}>
          R ahead
        </text>
        <text className="mech-arc-text" x={398} y={222} textAnchor="end">
          L ahead
        </text>
        {turn !== undefined && (
          <line
            className="mech-needle"
            x1={210}
            y1={200}
            x2={210 + 150 * Math.sin(turn)}
            y2={200 - 150 * Math.cos(turn)}
          />
        )}
        <circle className="mech-hub" cx={210} cy={200} r={9} />
      </svg>
      <div className="mech-best">
        <span>Level, against the best</span>
        <svg viewBox="0 0 600 26" preserveAspectRatio="none" aria-hidden="true">
          <rect className="mech-best-ground" width={600} height={26} />
          <rect className="mech-best-bar" width={600 * share} height={26} />
        </svg>
        <span className="place">
          {heard === undefined ? "–" : `${heard.belowBestDecibel.toFixed(1).replace("-", "−")} dB`}
        </span>
      </div>
      <p className="mech-live-words">{advice(heard)}</p>
    </div>
  );
}

function advice(heard: HeadHeard | undefined): string {
  if (heard === undefined) return "Play a tone: first about 3 kHz, then 6.3 or 10 kHz.";
  const tone =
    heard.hz < 5000
      ? "Then go on with 6.3 or 10 kHz."
      : "There are false peaks: stay close to the 3 kHz setting.";
  if (heard.aheadRadians === undefined) return `Turn the screw for the highest level. ${tone}`;
  return `Turn the screw for the highest level and an upright needle. ${tone}`;
}

function spoken(heard: HeadHeard | undefined): string {
  if (heard === undefined) return "Azimuth meter: no tone.";
  const level = `${heard.belowBestDecibel.toFixed(1)} decibels against the best level`;
  if (heard.aheadRadians === undefined) return `Azimuth meter: ${level}; one channel only.`;
  const degrees = Math.round((heard.aheadRadians * 180) / Math.PI);
  return `Azimuth meter: ${level}; left channel ahead by ${degrees} degrees.`;
}
