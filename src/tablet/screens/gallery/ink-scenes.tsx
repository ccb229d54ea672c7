import type { ReactNode } from "react";
import { Belt } from "../../parts/belt.tsx";
import { CountStrokes } from "../../parts/count-strokes.tsx";
import { JapaneseName } from "../../parts/japanese-name.tsx";
import { Key } from "../../parts/key.tsx";
import { LevelGlyph } from "../../parts/level-glyph.tsx";
import { Seal } from "../../parts/seal.tsx";
import { StopKey } from "../../parts/stop-key.tsx";
import css from "./parts-page.module.css";

const tokens = ["paper", "leaf", "ink", "wash", "pencil", "seal", "on-seal"];
const nothing = () => undefined;

/** Colours, keys, glyphs: what everything is drawn with. */
export function InkScenes() {
  return (
    <>
      <div className={css.partsRow}>
        {tokens.map((token) => (
          <Named key={token} name={token}>
            <span className={css.swatch} style={{ background: `var(--${token})` }} />
          </Named>
        ))}
      </div>
      <div className={css.partsRow}>
        <Key>Plain</Key>
        <Key kind="firm">Undo</Key>
        <Key kind="quiet">Not seen</Key>
        <Key kind="ink">Open the test</Key>
        <Key kind="seal" under="12 blank">
          Rest of line meets
        </Key>
        <Key pressed>Stops short</Key>
        <Key pressed={false}>Over-locks</Key>
        <Key disabled>Disabled</Key>
        <StopKey onStop={nothing} />
        <StopKey onStop={nothing} large />
      </div>
      <div className={css.partsRow}>
        {[4, 5, 7].map((levels) =>
          Array.from({ length: levels }, (_, index) => index + 1).map((level) => (
            <Named key={`${levels} ${level}`} name={`${level} of ${levels}`}>
              <LevelGlyph level={level} meetsLevel={levels === 4 ? 3 : 4} size={48} />
            </Named>
          )),
        )}
        <Named name="not seen">
          <LevelGlyph level="not-seen" meetsLevel={3} size={48} />
        </Named>
      </div>
      <div className={css.partsRow}>
        <Seal />
        <Seal size={64} label="Sealed" />
        <Belt belt={{ name: "white", colour: "#ffffff" }} />
        <Belt belt={{ name: "yellow", colour: "#f2c230" }} />
        <Belt belt={{ name: "green", colour: "#2f8a4c", tip: "#1a1a1a" }} />
        <Belt belt={{ name: "black", colour: "#111111" }} />
        <CountStrokes done={0} total={6} />
        <CountStrokes done={4} total={6} running />
        <CountStrokes done={6} total={6} />
        <CountStrokes done={9} total={20} running />
        <span>
          rising block <em>age-uke</em> <JapaneseName>上げ受け</JapaneseName>
        </span>
      </div>
    </>
  );
}

function Named({ name, children }: { name: string; children: ReactNode }) {
  return (
    <figure>
      {children}
      <figcaption>{name}</figcaption>
    </figure>
  );
}
