import type { ReactNode } from "react";
import { PageBand } from "../../parts/page-band.tsx";
import { BandScenes } from "./band-scenes.tsx";
import { FormScenes } from "./form-scenes.tsx";
import { InkScenes } from "./ink-scenes.tsx";
import css from "./parts-page.module.css";
import { SayingScenes } from "./saying-scenes.tsx";

/** Every part but the board, in its states, on one page. */
export function PartsPage({ scenes }: { scenes: readonly string[] }) {
  return (
    <main>
      <PageBand title="Parts" about="every name in this gallery is invented" />
      <div className={css.root}>
        <Section title="The judge's board">
          <nav className={css.partsRow} aria-label="Scenes">
            {scenes.map((scene) => (
              <a key={scene} href={`?scene=${scene}`}>
                {scene}
              </a>
            ))}
          </nav>
        </Section>
        <Section title="Ink">
          <InkScenes />
        </Section>
        <Section title="Said to a person">
          <SayingScenes />
        </Section>
        <Section title="Asked of a person">
          <FormScenes />
        </Section>
        <Section title="The judge's band">
          <BandScenes />
        </Section>
      </div>
    </main>
  );
}

function Section({ title, children }: { title: string; children: ReactNode }) {
  return (
    <section>
      <h2>{title}</h2>
      {children}
    </section>
  );
}
