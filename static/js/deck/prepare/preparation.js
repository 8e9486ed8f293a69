/**
 * What must happen before this tablet goes up, in which order? Enrols, fetches, checks and keeps; it draws nothing.
 */
import { TabletLog } from '../core/log.js';
import { DeckSettings } from '../settings.js';
import { Refused } from '../status/api.js';
import { checkPicture, readPackBytes, sizeFor } from './download.js';
import { askToPersist, judgePersistence, judgeRoom, probeDisk, roomFor } from './fitness.js';
import { keepPack } from './pack_store.js';
import { pointAt, storeNameFor } from './stores.js';

/** @typedef {import('../deck.js').Deck} Deck */
/** @typedef {import('./fitness.js').Finding} Finding */
/** @typedef {{wall: string, survey: string, name: string}} Choice */
/** @typedef {{device: string, wall: string, survey: string, epoch: string, name: string}} Enrolment */
/** @typedef {{what: string, received: number, expected: number}} Progress */
/** @typedef {{pack: any, bytes: number, enrolment: Enrolment}} Fetched */

const SHELL_LIMIT_MS = 30_000;

export class Preparation {
  /**
   * @param {object} options
   * @param {Deck} options.deck
   * @param {import('../status/api.js').DeckApi} options.api
   * @param {(progress: Progress) => void} options.onProgress
   */
  constructor({ deck, api, onProgress }) {
    this.deck = deck;
    this.api = api;
    this.onProgress = onProgress;
  }

  /** The enrolment of this store, when it is for this survey. @param {Choice} choice @returns {Enrolment | null} */
  enrolled({ wall, survey }) {
    const known = this.deck.log.enrolment();
    return known && known.wall === wall && known.survey === survey ? known : null;
  }

  /** Why this survey cannot be taken now, or null. @param {Choice} choice @returns {string | null} */
  hindrance(choice) {
    const known = this.deck.log.enrolment();
    if (!known || this.enrolled(choice)) return null;
    const { entries, photographs } = this.deck.log.unsent();
    if (!entries && !photographs) return null;
    return `This tablet still holds ${entries} unsent entries and ${photographs} unsent photographs of survey ${known.survey}. Send them first, from the tablet screen.`;
  }

  /** Enrol where needed and fetch the pack; nothing on the tablet changes. @param {Choice} choice @returns {Promise<Fetched>} */
  async fetchPack(choice) {
    const hindrance = this.hindrance(choice);
    if (hindrance) throw new Refused(hindrance, 0);
    const enrolment = this.enrolled(choice) ?? await this.enrol(choice);
    const bytes = await this.api.load(`/api/v1/tablets/${enrolment.device}/pack/`, (received) => this.onProgress({ what: 'the survey', received, expected: 0 }));
    return { pack: await readPackBytes(bytes, (text) => this.deck.platform.digestHex(text)), bytes: bytes.byteLength, enrolment };
  }

  /** @private @param {Choice} choice @returns {Promise<Enrolment>} */
  async enrol({ wall, survey, name }) {
    // Kept first: an enrolment whose answer is lost is asked for again under the same identity.
    const device = this.deck.settings.get(`device:${wall}:${survey}`) ?? this.deck.platform.uuid7();
    await this.deck.settings.set(`device:${wall}:${survey}`, device);
    const { tablet, epoch } = await this.api.enrol({ wall, survey, name, device });
    return { device: tablet.id, wall, survey, epoch, name: tablet.name };
  }

  /**
   * Does this tablet hold what the survey needs?
   * @param {number} bytes what is still to be fetched
   * @returns {Promise<{findings: Finding[], persistence: 'granted' | 'refused' | 'unknown'}>}
   */
  async check(bytes) {
    const persistence = await askToPersist(navigator.storage);
    const estimate = await navigator.storage?.estimate?.() ?? {};
    const findings = [await this.shellFinding(), await probeDisk(this.deck.disk, (part) => void crypto.getRandomValues(/** @type {Uint8Array<ArrayBuffer>} */ (part))), judgeRoom(roomFor(estimate, bytes)), judgePersistence(persistence)];
    return { findings, persistence };
  }

  /** @private @returns {Promise<Finding>} */
  async shellFinding() {
    if (!window.isSecureContext) return { name: 'disk', fit: false, message: 'The page itself cannot be kept: this address has no encryption (HTTPS). Start the server with serve --lan and open its https address here.' };
    const late = new Promise((resolve) => { setTimeout(resolve, SHELL_LIMIT_MS, null); });
    const ready = await Promise.race([navigator.serviceWorker.ready, late]);
    return ready ? { name: 'disk', fit: true, message: 'The page itself is kept for work without network.' } : { name: 'disk', fit: false, message: 'The page itself is not kept yet. Wait a minute with network, then prepare again.' };
  }

  /**
   * Fetch the pictures, then put pack and pictures in the place of the old ones.
   * @param {Fetched} fetched
   * @param {number} width_px 0 for no pictures
   */
  async take({ pack, bytes, enrolment }, width_px) {
    const pictures = [];
    const chosen = width_px ? pack.pictures : [];
    const expected = chosen.reduce((/** @type {number} */ sum, /** @type {any} */ picture) => sum + /** @type {any} */ (sizeFor(picture, width_px)).bytes_estimate, 0);
    let before = 0;
    for (const [index, picture] of chosen.entries()) {
      const size = /** @type {any} */ (sizeFor(picture, width_px));
      const what = `picture ${index + 1} of ${chosen.length}`;
      const loaded = await this.api.load(size.url, (received) => this.onProgress({ what, received: before + received, expected }));
      checkPicture(loaded, `${picture.survey}, ${picture.mode}`);
      before += loaded.byteLength;
      pictures.push({ digest: picture.digest, mode: picture.mode, bounds_in: picture.bounds_in, survey: picture.survey, taken_on: picture.taken_on, ...placeOf(picture), width_px: size.width_px, bytes: loaded });
    }
    await this.keep({ pack, enrolment, pictures });
    return bytes + before;
  }

  /** @private @param {{pack: any, enrolment: Enrolment, pictures: any[]}} whole */
  async keep({ pack, enrolment, pictures }) {
    const { deck } = this;
    if (!deck.log.enrolment() || deck.log.enrolment()?.device === enrolment.device) {
      if (!deck.log.enrolment()) await deck.log.enrol(enrolment);
      await keepPack(deck.disk, pack, pictures);
      return;
    }
    const name = storeNameFor(enrolment.device);
    const disk = deck.openDisk(name);
    const log = await TabletLog.open({ disk, platform: deck.platform });
    if (!log.enrolment()) await log.enrol(enrolment);
    await keepPack(disk, pack, pictures);
    const settings = await DeckSettings.read(disk);
    for (const [key, value] of Object.entries(deck.settings.values)) await settings.set(key, value);
    pointAt(localStorage, name);
  }
}

/** A picture whose error of place is known says whose it is; outlines drawn over it state both. @param {{id?: string, error_in?: number}} picture */
function placeOf({ id, error_in }) {
  return id && typeof error_in === 'number' ? { id, error_in } : {};
}
