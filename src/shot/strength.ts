import type { ShotElement, WeakLink } from './schema.js'

/** Share of a link's treatment that an element gets: 1 all of it, 0 as if the link did nothing. */
export function strengthOf(e: Pick<ShotElement, 'links'>, link: WeakLink): number {
  const said: { readonly strength?: number | undefined; readonly off?: true | undefined } =
    e.links?.[link] ?? {}
  return said.off === true ? 0 : (said.strength ?? 1)
}
