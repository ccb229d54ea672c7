import { FaultError } from "../../book/faults.ts";
import type { PostgresDatabase } from "./postgres-database.ts";

const TRIGGERS = ["entries_are_never_changed", "entries_are_never_emptied"];

/**
 * What lies among our tables, or hangs on one of them, and was not made by this program. The parts of a partitioned table of ours pass, and what an
 * extension of the server brought: it writes nothing here.
 */
const FOREIGN = `WITH ours AS (SELECT to_regclass(name)::oid AS id FROM unnest($1::text[]) AS name),
    parts AS (
      SELECT id FROM ours UNION
      SELECT inhrelid FROM pg_inherits JOIN pg_class ON pg_class.oid = inhrelid JOIN ours ON inhparent = id WHERE relispartition
    ),
    place AS (
      SELECT coalesce((SELECT relnamespace FROM pg_class WHERE oid = to_regclass('entries')), current_schema()::regnamespace::oid) AS id
    )
  SELECT relname::text AS name FROM pg_class, place
    WHERE (relnamespace = place.id OR pg_class.oid IN (SELECT id FROM ours))
      AND relkind IN ('r', 'p', 'v', 'm', 'f')
      AND (pg_class.oid NOT IN (SELECT id FROM parts WHERE id IS NOT NULL) OR relkind NOT IN ('r', 'p') OR relnamespace <> place.id)
      AND NOT EXISTS (SELECT FROM pg_depend WHERE classid = 'pg_class'::regclass AND objid = pg_class.oid AND deptype = 'e')
  UNION ALL
  SELECT relname::text FROM pg_inherits JOIN pg_class ON pg_class.oid = inhrelid JOIN ours ON inhparent = id WHERE NOT relispartition
  UNION ALL
  SELECT tgname::text FROM pg_trigger JOIN parts ON tgrelid = id WHERE NOT tgisinternal AND tgname <> ALL ($2::text[])
  UNION ALL
  SELECT rulename::text FROM pg_rewrite JOIN parts ON ev_class = id
  UNION ALL
  SELECT polname::text FROM pg_policy JOIN parts ON polrelid = id
  LIMIT 1`;

/**
 * Looks whether all that is there was made by this program: a trigger, a rule or a view of somebody else's could do anything to what is written.
 * @param names  of our tables, there or not
 * @throws FaultError STORE_DAMAGED, naming what is there
 */
export async function mustBeOwn(
  { guarded, pool, name: file }: PostgresDatabase,
  names: readonly string[],
): Promise<void> {
  const { rows } = await guarded(() => pool.query<{ name: string }>(FOREIGN, [names, TRIGGERS]));
  const [foreign] = rows;
  if (!foreign) return;
  const detail = `“${foreign.name}” in it is not as this program makes it`;
  throw new FaultError({ code: "STORE_DAMAGED", with: { file, detail } });
}
