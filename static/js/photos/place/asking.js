/**
 * How does the page ask the server: what marked points say, and to place the photograph? A refusal comes back as an Error
 * with the server's sentence.
 */
import { csrfToken } from '../../shared/port.js';

/**
 * @typedef {object} Answer what marked points say
 * @property {{homography: number[][], radial_rms_in: number, leave_one_out_rms_in: number | null, checked: boolean, marking_error_px: number, worst_point: string | null}} fit
 * @property {{name: string, residual_in: [number, number], leave_one_out_in: number | null}[]} points
 * @property {string[]} statements
 * @property {number[]} bounds_in of the rectified copy
 * @property {number} px_per_in suggested
 * @property {number} error_in
 *
 * @typedef {Answer & {placement: string, job_url: string | null, job_state_url: string | null}} Placed
 */

/** @param {string} url @param {object} body @param {AbortSignal} [signal] @returns {Promise<any>} */
export async function post(url, body, signal) {
  const response = await fetch(url, {
    method: 'POST', credentials: 'same-origin', signal, body: JSON.stringify(body),
    headers: { 'Content-Type': 'application/json', Accept: 'application/json', 'X-CSRFToken': csrfToken() },
  }).catch((error) => {
    if (error.name === 'AbortError') throw error;
    throw new Error('The server cannot be reached. The points stay on this page; try again.');
  });
  const answer = await response.json().catch(() => null);
  if (!response.ok) throw new Error(answer?.message ?? `The server refused this (${response.status}). Sign in again in another tab if the sign-in has run out.`);
  return answer;
}

/** How far work in the background is. @param {string} url */
export async function stateOf(url) {
  const response = await fetch(url, { headers: { Accept: 'application/json' }, credentials: 'same-origin' });
  if (!response.ok) throw new Error(`The server answered ${response.status}.`);
  return response.json();
}
