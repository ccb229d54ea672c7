import type * as z from "zod/mini";

/**
 * What a setting says, as it lies in a store.
 * @returns undefined where it cannot be read: one that is damaged costs no other its word.
 */
export function settingOf<Schema extends z.ZodMiniType>(
  schema: Schema,
  text: string,
): z.infer<Schema> | undefined {
  try {
    return schema.safeParse(JSON.parse(text)).data;
  } catch {
    return undefined;
  }
}
