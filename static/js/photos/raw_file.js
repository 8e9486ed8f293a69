/**
 * How is a camera's raw file kept beside the photograph whose page this is?
 */
import { byId } from '../shared/dom.js';
import { addressOf, sendFile } from './sending.js';

const form = /** @type {HTMLFormElement | null} */ (document.getElementById('raw'));

/** @param {HTMLFormElement} from @param {File} file */
async function keep(from, file) {
  const token = /** @type {HTMLInputElement} */ (from.elements.namedItem('csrfmiddlewaretoken')).value;
  const said = byId('raw-said');
  const address = addressOf(from.dataset.url ?? '', file.name, { raw_for: from.dataset.rawFor ?? '' });
  const outcome = await sendFile(address, file, token, (share) => { said.textContent = `${Math.round(share * 100)} % has gone over.`; });
  if (outcome.state === 'kept' || outcome.state === 'there') location.reload();
  else said.textContent = outcome.words.join(' ');
}

form?.addEventListener('change', () => {
  const chooser = /** @type {HTMLInputElement} */ (byId('raw-file'));
  if (chooser.files?.[0]) keep(form, chooser.files[0]);
  chooser.value = '';
});
