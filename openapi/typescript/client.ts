// The client in TypeScript: openapi-fetch with the types of the contract, which
// schema.d.ts has (generated: npm run generate).
import createClient, { type Client } from "openapi-fetch";
import type { paths } from "./schema.js";

export type * from "./schema.js";

/** A client of the service at an address. Every call shows the token, where there is one. */
export function connect(baseUrl: string, token?: string): Client<paths> {
  return createClient<paths>({ baseUrl, headers: token ? { Authorization: `Bearer ${token}` } : {} });
}

/** The `after` with which a list goes on, by the `Link` header of a page; undefined where that was the last. */
export function nextAfter(response: Response): string | undefined {
  const link = /<([^<>]+)>\s*;\s*rel="?next"?/.exec(response.headers.get("Link") ?? "");
  return link?.[1] && (new URL(link[1], response.url).searchParams.get("after") ?? undefined);
}

/** How many seconds to wait before asking again, where a problem says so. */
export function retryAfter(response: Response): number | undefined {
  return Number(response.headers.get("Retry-After")) || undefined;
}
