export interface FoundBrowser {
  path: string;
  /** What its process needs around it. */
  env: Record<string, string>;
}
export const FLAGS: string[];
export function findBrowser(): Promise<FoundBrowser | { missing: string }>;
export function packagedBrowser(): Promise<FoundBrowser | undefined>;
