import { memo } from "react";
import type { BoardLayout } from "./board-layout.ts";
import css from "./row-title.module.css";

interface RowTitleProps {
  title: string;
  asked: boolean;
  isLast: boolean;
  top: number;
  layout: BoardLayout;
  width: number;
}

/** A criterion's name in the gutter, or over its row where there is none; a long word is set smaller, not broken. */
export const RowTitle = memo(function RowTitle(props: RowTitleProps) {
  const { title, asked, isLast, top, layout, width } = props;
  const { gutter } = layout;
  const atLeft = gutter?.left === 0;
  return (
    <span
      className={css.root}
      aria-hidden="true"
      data-asked={asked}
      data-long={title.split(/\s/).some((word) => word.length > 10)}
      data-last={isLast}
      style={{
        top,
        height: layout.rowHeight,
        ...(gutter && {
          paddingLeft: atLeft ? 14 : gutter.left + 8,
          paddingRight: atLeft ? width - gutter.width + 2 : 8,
        }),
      }}
    >
      <span>{title}</span>
    </span>
  );
});
