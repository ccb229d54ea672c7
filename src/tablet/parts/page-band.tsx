import type { ReactNode } from "react";
import css from "./page-band.module.css";

interface PageBandProps {
  title: string;
  /** A quieter line beside it: "24 candidates · 5 judges". */
  about?: ReactNode;
  keys?: ReactNode;
}

/** The band over every page that is not the judge's board. */
export function PageBand({ title, about, keys }: PageBandProps) {
  return (
    <header className={css.root}>
      <div className={css.title}>
        <h1>{title}</h1>
        {about !== undefined && <p>{about}</p>}
      </div>
      {keys !== undefined && <div className={css.keys}>{keys}</div>}
    </header>
  );
}
