/** Width of a track in millimetres and distance of the two stereo tracks' middles. IEC 60094-7:1986; from memory. */
export const monoTrackMillimetres = 1.5;
export const stereoTrackMillimetres = 0.6;
export const stereoTrackDistanceMillimetres = 0.9;

/**
 * Loss of a tone, in decibels (negative), in a head that is tilted against the recording: 20 log |sin x / x| with
 * x = π w tan(α) / λ. Standard formula; test/reference compares it with a computed table.
 */
export function azimuthLossDecibel(
  trackMillimetres: number,
  wavelengthMillimetres: number,
  angleMinutes: number,
): number {
  const x =
    (Math.PI * trackMillimetres * Math.tan((angleMinutes / 60) * (Math.PI / 180))) / wavelengthMillimetres;
  return x === 0 ? 0 : 20 * Math.log10(Math.abs(Math.sin(x) / x));
}

/** Length of one cycle on the tape. */
export function wavelengthMillimetres(hz: number, speedMetresPerSecond: number): number {
  return (1000 * speedMetresPerSecond) / hz;
}

/** An angle between two channels at a frequency. */
export interface ChannelAngle {
  readonly hz: number;
  /** By how much the left channel is ahead; only its place within a cycle is known. */
  readonly aheadRadians: number;
}

/** The tilt of a head against the recording. */
export interface HeadTilt {
  /** Positive: the left channel is ahead. */
  readonly minutes: number;
  /** Time by which it is ahead. */
  readonly delaySeconds: number;
  /** The highest tone that was used: the finer the wave, the finer the angle. */
  readonly hz: number;
}

/**
 * The tilt from the angles of several tones: the lowest tells it roughly without doubt, and each higher one, whose cycles
 * are short, makes it finer. Undefined without any angle. A low tone whose channels are more than half a cycle apart
 * would be misread: at 3150 Hz that is a tilt of 29 minutes.
 */
export function headTilt(
  angles: readonly ChannelAngle[],
  speedMetresPerSecond: number,
): HeadTilt | undefined {
  const rising = [...angles].sort((a, b) => a.hz - b.hz);
  const last = rising.at(-1);
  if (last === undefined) return undefined;
  let delaySeconds = 0;
  for (const { hz, aheadRadians } of rising) {
    const cycles = aheadRadians / (2 * Math.PI);
    delaySeconds = (cycles + Math.round(delaySeconds * hz - cycles)) / hz;
  }
  const distance = stereoTrackDistanceMillimetres / 1000;
  const tilt = Math.atan((delaySeconds * speedMetresPerSecond) / distance);
  return { minutes: (tilt * 180 * 60) / Math.PI, delaySeconds, hz: last.hz };
}
