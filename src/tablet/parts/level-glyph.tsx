import css from "./level-glyph.module.css";
import { levelShape } from "./level-shape.ts";
import { Sign } from "./sign.tsx";

interface LevelMarkProps {
  level: number;
  meetsLevel: number;
  /** Centre and diameter in the pixels of the drawing it stands in. */
  x: number;
  y: number;
  size: number;
}

/** A level as ink, inside an SVG. Told apart by shape, never by hue. */
export function LevelMark({ level, meetsLevel, x, y, size }: LevelMarkProps) {
  const { fill, rings } = levelShape(level, meetsLevel);
  const stroke = Math.max(2, size * 0.09);
  const outer = size / 2 - stroke / 2;
  if (fill === 1 && rings === 0) return <circle className={css.ink} cx={x} cy={y} r={size / 2} />;
  // Rings stand apart by their own thickness, so that they read at arm's length; the core keeps at least a quarter.
  const thin = rings > 1 ? stroke * 0.6 : stroke * 0.72;
  const core = Math.max(size / 8, size / 2 - rings * thin * 2.1);
  return (
    <g>
      <circle className={css.ground} cx={x} cy={y} r={size / 2} />
      {rings > 0 ? (
        <>
          {Array.from({ length: rings }, (_, ring) => size / 2 - thin / 2 - ring * thin * 1.9).map(
            (radius) => (
              <circle
                key={radius}
                className={css.ring}
                cx={x}
                cy={y}
                r={radius}
                strokeWidth={thin}
              />
            ),
          )}
          <circle className={css.ink} cx={x} cy={y} r={core} />
        </>
      ) : (
        <>
          {fill > 0 && <path className={css.ink} d={segmentFromRight(x, y, size / 2, fill)} />}
          <circle className={css.ring} cx={x} cy={y} r={outer} strokeWidth={stroke} />
        </>
      )}
    </g>
  );
}

/** The part of a disc right of the chord that leaves `share` of its width: the side of the line. */
function segmentFromRight(x: number, y: number, radius: number, share: number): string {
  const chord = radius - 2 * radius * share;
  const half = Math.sqrt(radius * radius - chord * chord);
  return `M${x + chord} ${y - half}A${radius} ${radius} 0 ${share > 0.5 ? 1 : 0} 1 ${x + chord} ${y + half}Z`;
}

/** A stroke for "not seen": a value of its own, not a level. */
export function NotSeenMark({ x, y, size }: Omit<LevelMarkProps, "level" | "meetsLevel">) {
  const reach = size * 0.32;
  return (
    <path
      className={css.ring}
      strokeWidth={Math.max(2, size * 0.09)}
      strokeLinecap="round"
      d={`M${x - reach} ${y + reach}L${x + reach} ${y - reach}`}
    />
  );
}

interface LevelGlyphProps {
  level: number | "not-seen";
  meetsLevel: number;
  size?: number;
  label?: string;
}

/** A level standing alone in a text or a table. */
export function LevelGlyph({ level, meetsLevel, size = 26, label }: LevelGlyphProps) {
  const place = { x: size / 2, y: size / 2, size };
  return (
    <Sign label={label} className={css.root} width={size} height={size}>
      {level === "not-seen" ? (
        <NotSeenMark {...place} />
      ) : (
        <LevelMark level={level} meetsLevel={meetsLevel} {...place} />
      )}
    </Sign>
  );
}
