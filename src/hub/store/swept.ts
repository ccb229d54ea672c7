/** Tables in which names and texts stand: of what was erased in them no byte is to stay. */
export const SWEPT = ["sides", "devices"] as const;

/** `waiting`: somebody still reads what was erased, such as a copy being made. `forbidden`: this user may not; whoever owns the tables does it. */
export type Swept = "done" | "waiting" | "forbidden";
