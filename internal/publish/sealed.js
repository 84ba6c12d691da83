'use strict';
(() => {
const form = document.querySelector('form'), field = document.querySelector('input'), note = document.querySelector('[role=alert]');
const bytes = text => Uint8Array.from(atob(text), c => c.charCodeAt(0));
const sealed = document.querySelector('#sealed').dataset;
if (!globalThis.crypto || !crypto.subtle) {
	note.textContent = 'This browser opens sealed reports only over https or from a file on disk.';
	return;
}
form.hidden = false;
field.focus();
const unseal = async passphrase => {
	const secret = await crypto.subtle.importKey('raw', new TextEncoder().encode(passphrase.normalize('NFC')), 'PBKDF2', false, ['deriveKey']);
	const key = await crypto.subtle.deriveKey(
		{name: 'PBKDF2', hash: 'SHA-256', salt: bytes(sealed.salt), iterations: Number(sealed.iterations)},
		secret, {name: 'AES-GCM', length: 256}, false, ['decrypt']);
	return crypto.subtle.decrypt({name: 'AES-GCM', iv: bytes(sealed.nonce)}, key, bytes(document.querySelector('#sealed').textContent.trim()));
};
// The style is taken out and becomes a sheet made by the script, since the policy
// of this page knows only its own style, by its hash.
const show = html => {
	const sheet = new CSSStyleSheet();
	const report = new DOMParser().parseFromString(html.replace(/<style>([^]*?)<\/style>/, (_, style) => (sheet.replaceSync(style), '')), 'text/html');
	document.querySelector('style').remove();
	document.adoptedStyleSheets = [sheet];
	document.title = report.title;
	document.documentElement.lang = report.documentElement.lang;
	document.body.replaceWith(document.adoptNode(report.body));
	scrollTo(0, 0);
};
form.addEventListener('submit', async event => {
	event.preventDefault();
	note.textContent = 'Opening.';
	try {
		show(new TextDecoder().decode(await unseal(field.value)));
	} catch {
		note.textContent = 'The passphrase does not open this report.';
		field.select();
	}
});
})();
