import type { ComponentProps, ReactNode } from "react";

/*
 * The board is a grid to a reader and geometry to the eye. What stands in it is placed over lanes that may lie in two ranks,
 * where the boxes of a table cannot stand: so plain elements carry the roles, here and nowhere else.
 */

export function GridBox(props: ComponentProps<"div">) {
  // biome-ignore lint/a11y/useSemanticElements: a <table> lays its own boxes out, and these stand by geometry
  return <div {...props} role="grid" />;
}

export function GridLine({ children }: { children: ReactNode }) {
  return (
    // biome-ignore lint/a11y/useSemanticElements: a <tr> stands in a table only, and there is none
    // biome-ignore lint/a11y/useFocusableInteractive: arrow keys go from cell to cell; a row is never where the focus is
    <div role="row">{children}</div>
  );
}

export function ColumnHead(props: ComponentProps<"div">) {
  // biome-ignore lint/a11y/useSemanticElements: a <th> stands in a table only, and there is none
  // biome-ignore lint/a11y/useFocusableInteractive: a head names its column; where it can be pressed, a key inside it takes the focus
  return <div {...props} role="columnheader" />;
}

/** Names a row to a reader; the eye has its title in every rank. */
export function RowHead({ children }: { children: ReactNode }) {
  return (
    // biome-ignore lint/a11y/useSemanticElements: a <th> stands in a table only, and there is none
    // biome-ignore lint/a11y/useFocusableInteractive: it names its row and does nothing
    <div role="rowheader" className="unseen">
      {children}
    </div>
  );
}
