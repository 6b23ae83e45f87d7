/** A band of the strip, in CSS pixels. */
export interface Lane {
  readonly top: number;
  readonly height: number;
}

/** The bands of the strip from top to bottom, and the edges left and right of what runs with time. */
export interface Lanes {
  readonly left: number;
  readonly width: number;
  readonly right: number;
  readonly overview: Lane;
  readonly ruler: Lane;
  readonly blocks: Lane;
  readonly signal: Lane;
  readonly intervals: Lane;
  readonly speed: Lane;
}

/** Lays the bands out in a window of `width` × `height` CSS pixels. The signal gets what the others leave. */
export function layLanes(width: number, height: number): Lanes {
  const left = width < 700 ? 58 : 74;
  const right = width < 700 ? 44 : 80;
  const overviewHeight = 46;
  const intervalsHeight = Math.round(Math.max(76, height * 0.2));
  const speedHeight = Math.round(Math.max(50, height * 0.12));
  const fixed = overviewHeight + 30 + 30 + intervalsHeight + speedHeight + 12;
  const signalHeight = Math.max(90, height - fixed);
  let top = 0;
  const lane = (laneHeight: number, gap = 0): Lane => {
    const own = { top, height: laneHeight };
    top += laneHeight + gap;
    return own;
  };
  return {
    left,
    right,
    width: Math.max(50, width - left - right),
    overview: lane(overviewHeight),
    ruler: lane(30),
    blocks: lane(30),
    signal: lane(signalHeight, 6),
    intervals: lane(intervalsHeight, 6),
    speed: lane(speedHeight),
  };
}

/** The band a point lies in, if any. */
export function laneAt(
  lanes: Lanes,
  y: number,
): "overview" | "ruler" | "blocks" | "signal" | "intervals" | "speed" | undefined {
  const names = ["overview", "ruler", "blocks", "signal", "intervals", "speed"] as const;
  return names.find((name) => y >= lanes[name].top && y < lanes[name].top + lanes[name].height);
}
