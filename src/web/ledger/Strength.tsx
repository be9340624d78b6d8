import { Label, Slider, SliderThumb, SliderTrack, Switch } from 'react-aria-components'
import type { ShotElement, WeakLink } from '../../shot/schema.js'
import { NumberField } from '../parts/NumberField.js'
import { commit, edit } from '../state/acts.js'
import { draft } from '../state/draft.js'
import { useStore } from '../state/store.js'
import { view } from '../state/view.js'
import type { Link } from './telling.js'

const WEAK: readonly string[] = ['source', 'light', 'air', 'lens', 'shutter', 'sensor'] satisfies WeakLink[]

/** How much of a link's treatment the element gets. */
export function Strength({ link, element }: { link: Link; element: ShotElement }) {
  const change = useStore(view, (v) => v.draft)
  if (!WEAK.includes(link)) return null
  const weak = link as WeakLink
  const said: { readonly strength?: number | undefined; readonly off?: true | undefined } =
    element.links?.[weak] ?? {}
  const mine =
    change?.kind === 'link' && change.element === element.id && change.link === weak ? change : undefined
  const percent = Math.round((mine?.strength ?? said.strength ?? 1) * 100)
  const off = said.off === true
  const base = { kind: 'link', element: element.id, link: weak } as const
  return (
    <div className="strength">
      {weak !== 'source' && (
        <>
          <Slider
            value={percent}
            minValue={0}
            maxValue={100}
            isDisabled={off}
            onChange={(v) => draft({ ...base, strength: (v as number) / 100 })}
            onChangeEnd={() => void commit()}
          >
            <Label className="hidden">{`Strength of ${link}`}</Label>
            <SliderTrack>
              <i className="done" style={{ width: `${percent}%` }} />
              <SliderThumb />
            </SliderTrack>
          </Slider>
          <NumberField
            label={`Strength of ${link}`}
            value={percent}
            unit="%"
            min={0}
            max={100}
            disabled={off}
            onCommit={(v) => void edit({ ...base, strength: (v ?? 100) / 100 })}
          />
        </>
      )}
      <Switch
        isSelected={!off}
        onChange={(on) => void edit({ ...base, off: !on })}
        aria-label={`Do the ${link} link`}
      >
        <i className="switch" />
        <span>{off ? 'off' : 'on'}</span>
      </Switch>
    </div>
  )
}
