import { createRoot } from 'react-dom/client'
import { Page } from './Page.js'
import { begin } from './state/session.js'
import './style/base.css'
import './style/page.css'
import './style/parts.css'
import './style/picture.css'
import './style/ruler.css'
import './style/ledger.css'
import './style/below.css'

void begin()
createRoot(document.getElementById('page')!).render(<Page />)
