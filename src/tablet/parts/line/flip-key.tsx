import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { keyLook } from "../key.tsx";
import levelGlyphCss from "../level-glyph.module.css";
import { useSay } from "../use-say.ts";
import css from "./top-band.module.css";

interface FlipKeyProps {
  flipped: boolean;
  onFlip: () => void;
}

/** Says how the children stand; a tap turns the lanes round. Faces are rings, backs are discs beyond their line. */
export function FlipKey({ flipped, onFlip }: FlipKeyProps) {
  const say = useSay(judgeWords);
  const way = say(flipped ? "back" : "facing");
  const y = flipped ? 22 : 8;
  return (
    <button
      type="button"
      {...keyLook}
      className={`${keyLook.className} ${css.flipKey}`}
      aria-label={say("flip", { way })}
      onClick={onFlip}
    >
      <svg width="92" height="32" viewBox="0 0 92 32" aria-hidden="true">
        {[16, 46, 76].map((x) => (
          <circle
            key={x}
            className={flipped ? levelGlyphCss.ink : levelGlyphCss.ring}
            cx={x}
            cy={y}
            r={flipped ? 7.5 : 6.5}
            strokeWidth="3"
          />
        ))}
        <path className={levelGlyphCss.ring} strokeWidth="3" d={flipped ? "M2 5h88" : "M2 26h88"} />
      </svg>
      <span>{way}</span>
    </button>
  );
}
