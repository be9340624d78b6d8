import { DIFFERENCE_GAIN, differencePairs, PUSH_STOPS } from '../gather.js'
import { type Html, html } from '../html.js'
import type { Role } from '../types.js'
import type { PageModel } from './page.js'
import { picture } from './picture.js'

/** Each channel alone, the picture pushed, and the differences. */
export function channels(m: PageModel): Html {
  const at = `frame ${m.frame}`
  return html`<section class="band" aria-labelledby="channels-title"><div class="column">
<h2 id="channels-title">Each channel alone</h2>
<p>A match can hide in colour and fail in one channel. Plate on the left, result on the right, ${at}.</p>
${(
  [
    ['r', 'Red'],
    ['g', 'Green'],
    ['b', 'Blue'],
  ] as const
).map(([key, name]) => beside(m, `channel:${key}`, name))}
<h2>Pushed</h2>
<p>What hides in the blacks shows when the light is raised, what hides in the whites when it is lowered.</p>
${beside(m, 'push:up', `${PUSH_STOPS} stops lighter`)}
${beside(m, 'push:down', `${PUSH_STOPS} stops darker`)}
<h2>Difference ×${DIFFERENCE_GAIN}</h2>
<p>Middle grey where both agree, lighter where the first is lighter. Taken from the pictures as seen, ${at}.</p>
<div class="pairs">${differencePairs({ has: (role) => m.pictures.has(`wipe:${role}`) }).map(([a, b]) => difference(m, a, b))}</div>
</div></section>`
}

function beside(m: PageModel, key: string, name: string): Html {
  return html`<figure class="beside"><figcaption>${name}</figcaption><div>${picture(m.pictures.get(`${key}:plate`), `${name}, plate`)}${picture(m.pictures.get(`${key}:result`), `${name}, result`)}</div></figure>
`
}

function difference(m: PageModel, a: Role, b: Role): Html {
  const names = { plate: 'plate', result: 'Result', plain: 'Plain over', truth: 'truth' }
  const name = `${names[a]} less ${names[b]}`
  return html`<figure><figcaption>${name}</figcaption>${picture(m.pictures.get(`difference:${a}:${b}`), name)}</figure>
`
}
