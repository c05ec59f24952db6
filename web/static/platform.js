// What the page needs from the browser and Rust reaches more dearly: storage, the offline worker, the rescue page,
// sensors. Plain functions under `drycurb`; no sentence and no arithmetic about water lives here.
(() => {
  'use strict';
  const drycurb = {};
  window.drycurb = drycurb;

  // ---- Storage: localStorage at once, IndexedDB for good. The newer of the two is read back. ----
  const PREFIX = 'drycurb.';
  const revisions = {};
  const texts = {}; // what this window last read or wrote
  let database = null;

  const openDatabase = () => {
    database ??= new Promise((resolve, reject) => {
      const late = setTimeout(() => reject(new Error('the store did not open')), 3000);
      const request = indexedDB.open('drycurb', 1);
      request.onupgradeneeded = () => request.result.createObjectStore('records');
      request.onerror = () => reject(request.error);
      request.onblocked = () => reject(new Error('another window holds the store'));
      request.onsuccess = () => {
        clearTimeout(late);
        const db = request.result;
        db.onversionchange = () => db.close();
        db.onclose = () => { database = null; };
        resolve(db);
      };
    }).catch((why) => { database = null; throw why; });
    return database;
  };
  const inDatabase = async (mode, act) => {
    for (let attempt = 0; ; attempt += 1) {
      try {
        const db = await openDatabase();
        return await new Promise((resolve, reject) => {
          const transaction = db.transaction('records', mode, { durability: 'strict' });
          const request = act(transaction.objectStore('records'));
          transaction.oncomplete = () => resolve(request.result);
          transaction.onabort = () => reject(transaction.error);
          transaction.onerror = () => reject(transaction.error);
        });
      } catch (why) {
        // A phone that slept may hand back a dead handle, which never recovers: open a new one, once.
        database = null;
        if (attempt > 0) throw why;
      }
    }
  };
  // A record is its revision, a line end, and the text.
  const split = (record) => {
    if (typeof record !== 'string') return { revision: -1, text: null };
    const end = record.indexOf('\n');
    return { revision: Number(record.slice(0, end)) || 0, text: record.slice(end + 1) };
  };
  const fromLocal = (key) => {
    try { return split(localStorage.getItem(PREFIX + key)); } catch { return split(null); }
  };
  drycurb.load = async (key) => {
    const near = fromLocal(key);
    let far = split(null);
    try { far = split(await inDatabase('readonly', (records) => records.get(key))); } catch { /* near stands */ }
    const newer = far.revision > near.revision ? far : near;
    revisions[key] = Math.max(newer.revision, 0);
    texts[key] = newer.text;
    return newer.text;
  };
  // Another window of the page may write the same document. What it wrote is taken over, lest the next keystroke here
  // write an old document over it. A window that slept looks when it wakes.
  const listen = () => {
    const near = fromLocal('page');
    if (near.text === null || near.text === texts.page || near.revision < (revisions.page ?? 0)) return;
    revisions.page = near.revision;
    texts.page = near.text;
    dispatchEvent(new CustomEvent('drycurb-elsewhere'));
  };
  drycurb.elsewhere = () => texts.page ?? '';
  addEventListener('storage', (event) => { if (event.key === `${PREFIX}page`) listen(); });
  addEventListener('pageshow', listen);
  document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'visible') listen(); });
  // Written at once to the quick store, and a moment later for good; an event tells when neither holds it.
  const pending = new Map();
  let flushing = 0;
  const flush = async () => {
    clearTimeout(flushing);
    flushing = 0;
    const batch = [...pending];
    pending.clear();
    for (const [key, { record, held }] of batch) {
      try {
        await inDatabase('readwrite', (records) => records.put(record, key));
        document.documentElement.dataset.saved = record.slice(0, record.indexOf('\n'));
      } catch {
        if (!held) dispatchEvent(new CustomEvent('drycurb-unsaved'));
      }
    }
  };
  drycurb.save = (key, text) => {
    const revision = (revisions[key] ?? 0) + 1;
    revisions[key] = revision;
    texts[key] = text;
    const record = `${revision}\n${text}`;
    let held = false;
    try {
      localStorage.setItem(PREFIX + key, record);
      held = localStorage.getItem(PREFIX + key) === record;
    } catch { /* full or forbidden: the database may still hold it */ }
    pending.set(key, { record, held });
    flushing ||= setTimeout(flush, 300);
  };
  addEventListener('pagehide', flush);
  document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'hidden') flush(); });
  // Asks the browser not to evict what is stored; it may refuse, and the page works all the same.
  drycurb.persist = () => { navigator.storage?.persist?.().catch(() => {}); };
  drycurb.theme = (theme) => {
    if (theme) document.documentElement.dataset.theme = theme; else delete document.documentElement.dataset.theme;
    try { localStorage.setItem('drycurb-theme', theme); } catch { /* it is also in the document */ }
  };

  // ---- Photos: small pictures in the database only, by a number that tells when they were taken ----
  const PHOTO = 'photo-';
  const seconds = () => Math.floor(Date.now() / 1000);
  const small = async (file) => {
    const picture = await createImageBitmap(file);
    const scale = Math.min(1, 640 / Math.max(picture.width, picture.height));
    const canvas = document.createElement('canvas');
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    canvas.getContext('2d').drawImage(picture, 0, 0, canvas.width, canvas.height);
    const at = (quality) => canvas.toDataURL('image/jpeg', quality);
    return [0.7, 0.5, 0.3].map(at).find((url) => url.length < 54000) ?? at(0.2);
  };
  let lastPhoto = 0;
  const keepPhoto = async (file) => {
    const url = await small(file);
    lastPhoto = Math.max(lastPhoto + 1, seconds());
    await inDatabase('readwrite', (records) => records.put(url, PHOTO + lastPhoto));
    return String(lastPhoto);
  };
  const showPhotos = (place) => {
    for (const image of place.querySelectorAll('img[data-shown]:not([src])')) {
      const { shown } = image.dataset;
      inDatabase('readonly', (records) => records.get(PHOTO + shown)).then((url) => {
        if (url && image.dataset.shown === shown) image.src = url;
      }, () => {});
    }
  };
  // One that was taken within the hour may belong to another window, whose document is not read yet.
  drycurb.keepPhotos = async (numbers) => {
    try {
      const kept = new Set([...numbers].map((number) => PHOTO + number));
      for (const key of await inDatabase('readonly', (records) => records.getAllKeys())) {
        const old = Number(key.slice(PHOTO.length)) < seconds() - 3600;
        if (key.startsWith(PHOTO) && old && !kept.has(key)) await inDatabase('readwrite', (records) => records.delete(key));
      }
    } catch { /* no store, no photos */ }
  };

  // Photos in a file stand beside the document, by their numbers. What came with one waits until it is taken or left.
  let coming = {};
  const photo = (number) => inDatabase('readonly', (records) => records.get(PHOTO + number)).catch(() => undefined);
  const isPhoto = ([number, url]) => /^\d{1,10}$/.test(number) && /^data:image\/(jpeg|png|webp);base64,[\w+/=]+$/.test(url)
    && url.length < 200000;
  const partPhotos = (text) => {
    coming = {};
    if (!text.includes('"photos":{')) return text;
    try {
      const { photos, ...rest } = JSON.parse(text.slice(text.indexOf('{'), text.lastIndexOf('}') + 1));
      coming = Object.fromEntries(Object.entries(photos).filter(isPhoto));
      return JSON.stringify(rest);
    } catch { return text; }
  };
  drycurb.photosComing = (forget) => {
    if (forget) coming = {};
    return Uint32Array.from(Object.keys(coming), Number);
  };
  // Gives the numbers in the file and here by turns: one that another photo has here already is changed.
  drycurb.takePhotos = async (taken) => {
    const out = [];
    for (const [number, url] of Object.entries(coming)) {
      let at = Number(number);
      try {
        for (let here = await photo(at); here !== undefined && here !== url; here = await photo(at)) at += 1;
        await inDatabase('readwrite', (records) => records.put(url, PHOTO + at));
        out.push(Number(number), at);
      } catch { /* told by its absence */ }
    }
    coming = {};
    taken(Uint32Array.from(out));
  };
  drycurb.photoSizes = async (numbers, heard) => {
    const out = [];
    for (const number of numbers) out.push(number, (await photo(number))?.length ?? 0);
    heard(Uint32Array.from(out));
  };
  drycurb.giveWith = async (name, text, numbers) => {
    const photos = {};
    for (const number of numbers) {
      const url = await photo(number);
      if (url) photos[number] = url;
    }
    const end = text.lastIndexOf('}');
    drycurb.give(name, 'text/plain', `${text.slice(0, end)},"photos":${JSON.stringify(photos)}${text.slice(end)}`);
  };

  // ---- Rescue: shown when the page cannot go on. Works without WebAssembly. ----
  const allData = async () => {
    const out = {};
    try {
      for (let i = 0; i < localStorage.length; i += 1) {
        const key = localStorage.key(i);
        if (key.startsWith(PREFIX)) out[key.slice(PREFIX.length)] = split(localStorage.getItem(key)).text;
      }
    } catch { /* nothing near */ }
    try {
      const keys = await inDatabase('readonly', (records) => records.getAllKeys());
      for (const key of keys.filter((name) => !name.startsWith(PHOTO))) {
        out[key] ??= split(await inDatabase('readonly', (records) => records.get(key))).text;
      }
    } catch { /* nothing far */ }
    return JSON.stringify(out, null, 1);
  };
  let rescued = false;
  drycurb.rescue = (why) => {
    if (rescued) return;
    rescued = true;
    const show = async () => {
      document.getElementById('app').hidden = true;
      document.getElementById('rescue').hidden = false;
      document.getElementById('rescue-why').textContent = String(why);
      const data = document.getElementById('rescue-data');
      data.value = await allData();
      document.getElementById('rescue-copy').onclick = () => {
        data.select();
        navigator.clipboard?.writeText(data.value).catch(() => document.execCommand('copy'));
      };
      document.getElementById('rescue-reload').onclick = () => location.reload();
      document.querySelector('#rescue h1').scrollIntoView();
    };
    if (document.readyState === 'loading') addEventListener('DOMContentLoaded', show); else show();
  };

  // ---- Offline worker. A waiting version is used at a cold start or when asked for, never in the middle. ----
  let waiting = null;
  let reloading = false;
  const offer = (worker) => {
    waiting = worker;
    dispatchEvent(new CustomEvent('drycurb-update'));
  };
  drycurb.updateReady = () => waiting !== null;
  drycurb.update = () => {
    if (!waiting) return;
    navigator.serviceWorker.addEventListener('controllerchange', () => {
      if (reloading) return;
      reloading = true;
      location.reload();
    });
    waiting.postMessage('take over');
    setTimeout(() => { if (!reloading) { reloading = true; location.reload(); } }, 5000);
  };
  if ('serviceWorker' in navigator) {
    addEventListener('load', async () => {
      try {
        const registration = await navigator.serviceWorker.register('sw.js', { updateViaCache: 'none' });
        if (registration.waiting && navigator.serviceWorker.controller) offer(registration.waiting);
        registration.addEventListener('updatefound', () => {
          const fresh = registration.installing;
          fresh?.addEventListener('statechange', () => {
            if (fresh.state === 'installed' && navigator.serviceWorker.controller) offer(fresh);
          });
        });
        await navigator.serviceWorker.ready;
        document.documentElement.dataset.offline = 'ready';
        // What plans the night comes when the page is there and quiet; `all` once it may be used without a network.
        navigator.serviceWorker.addEventListener('message', ({ data }) => {
          if (data === 'all here') document.documentElement.dataset.offline = 'all';
        });
        const rest = () => navigator.serviceWorker.controller?.postMessage('fetch the rest');
        setTimeout(rest, 1500);
        addEventListener('online', rest);
        document.addEventListener('visibilitychange', () => {
          if (document.visibilityState === 'visible') registration.update().catch(() => {});
        });
      } catch { /* no offline copy here (private window, old browser); the page itself works */ }
    });
  }

  // ---- Sheets: markup written anew after every change; the page is changed only where it differs. ----
  const attributes = (have, want) => {
    if (have.dataset.shown !== want.dataset.shown) have.removeAttribute('src');
    for (const { name } of [...have.attributes]) {
      // What the reader opened stays open.
      const stays = (name === 'open' && have.localName === 'details') || (name === 'src' && have.dataset.shown);
      if (!want.hasAttribute(name) && !stays) have.removeAttribute(name);
    }
    for (const { name, value } of want.attributes) {
      if (have.getAttribute(name) !== value) have.setAttribute(name, value);
    }
  };
  // What a hand did to an input is no part of the markup. What is being typed is never rewritten.
  const TYPED = 'input, select, textarea';
  const stand = (have, want) => {
    if (have.type === 'checkbox') have.checked = want.hasAttribute('checked');
    else if (have !== document.activeElement && 'value' in have && have.value !== want.value) have.value = want.value;
  };
  const become = (have, want) => {
    if (have.nodeType !== 1) {
      if (have.nodeValue !== want.nodeValue) have.nodeValue = want.nodeValue;
      return;
    }
    if ('same' in want.dataset) return; // told only by its id: it is as it was
    if (have.isEqualNode(want)) { // most is, and the browser finds that out soonest
      const wanted = want.querySelectorAll(TYPED);
      have.querySelectorAll(TYPED).forEach((input, at) => stand(input, wanted[at]));
    } else {
      attributes(have, want);
      if (have.localName !== 'textarea') children(have, want);
    }
    stand(have, want);
  };
  const children = (have, want) => {
    const named = new Map();
    for (const child of have.children) if (child.id) named.set(child.id, child);
    const coming = new Set([...want.children].map((child) => child.id));
    let here = have.firstChild;
    for (const next of [...want.childNodes]) {
      const known = next.id ? named.get(next.id) : null;
      if (known && known.localName === next.localName) {
        // Those before it that will not come again go; others are moved behind it.
        while (here && here !== known && !(here.id && coming.has(here.id))) {
          const gone = here;
          here = here.nextSibling;
          gone.remove();
        }
        if (here !== known) have.insertBefore(known, here); else here = here.nextSibling;
        become(known, next);
      } else if (here && !here.id && !next.id && here.nodeName === next.nodeName) {
        become(here, next);
        here = here.nextSibling;
      } else {
        have.insertBefore(next, here);
      }
    }
    while (here) {
      const gone = here;
      here = here.nextSibling;
      gone.remove();
    }
  };
  // ---- The phone's back key closes what is open, then goes back to the first place, then leaves. The browser keeps an
  // entry for each of the two; those that a key of the page closes are taken back. ----
  const closers = () => [...document.querySelectorAll('.beside [data-do="back"], .papers .back'),
    ...document.querySelectorAll('.places button:first-child:not([aria-current])')];
  const kept = () => history.state?.inside ?? 0;
  let retreating = false;
  let settling;
  const keepPace = () => {
    clearTimeout(settling);
    settling = setTimeout(() => {
      const inside = closers().length;
      if (retreating) return;
      for (let next = kept() + 1; next <= inside; next += 1) history.pushState({ inside: next }, '');
      if (inside < kept()) {
        retreating = true;
        history.go(inside - kept());
      }
    }, 30);
  };
  addEventListener('popstate', () => {
    if (!retreating) for (let over = closers(); over.length > kept(); over = over.slice(1)) over[0].click();
    retreating = false;
    keepPace();
  });
  drycurb.morph = (place, html) => {
    const held = place.contains(document.activeElement);
    const asked = place.querySelector('[data-focus]')?.dataset.focus;
    const fresh = document.createElement('template');
    fresh.innerHTML = html;
    children(place, fresh.content);
    showPhotos(place);
    const wanted = place.querySelector('[data-focus]');
    // A head is looked at from the top; one that comes while something is typed does not take the keyboard away.
    const typing = document.activeElement?.matches('input, select, textarea') && wanted?.tabIndex === -1;
    if (wanted && wanted.dataset.focus !== asked && !typing) {
      wanted.focus();
      if (wanted.tabIndex === -1) wanted.scrollIntoView();
      wanted.select?.();
    } else if (held && !place.contains(document.activeElement)) {
      place.querySelector('h2, h1')?.focus();
    }
    keepPace();
  };
  // In a picture of rows a thumb means the nearest of what stands in the row that it hits.
  const nearest = ({ target, clientX, clientY }) => {
    let [best, least] = [null, 24];
    for (const part of target.closest?.('svg.rows')?.querySelectorAll('[data-do]') ?? []) {
      const { left, right, top, bottom } = part.getBoundingClientRect();
      const off = Math.max(left - clientX, clientX - right, 0);
      // The name stands above what it names.
      if (clientY > top - 16 && clientY < bottom + 4 && off < least) [best, least] = [part, off];
    }
    return best;
  };
  // On a wide screen the list stays beside what was opened: its row is kept in sight, once both are drawn.
  drycurb.toTop = () => {
    if (innerWidth < 960) scrollTo(0, 0);
    else requestAnimationFrame(() => {
      const row = document.querySelector('.list .line[aria-current]');
      if (row) row.scrollIntoView({ block: 'nearest' });
      else scrollTo(0, 0);
    });
  };
  // The place that is open opens again.
  drycurb.place = (number) => {
    try { localStorage.setItem('drycurb-place', number); } catch { /* it opens at the first one */ }
  };
  drycurb.goTo = (number) => document.querySelectorAll('.places button')[number]?.click();
  drycurb.lastPlace = () => {
    try { return Number(localStorage.getItem('drycurb-place')); } catch { return 0; }
  };
  drycurb.sheet = (place, act) => {
    const tell = ({ dataset }, verb, value) => act(verb, Number(dataset.at ?? 0), dataset.of ?? '', value);
    place.addEventListener('click', (event) => {
      const key = nearest(event) ?? event.target.closest?.('[data-do]');
      if (key && !key.disabled) tell(key, key.dataset.do, key.dataset.value ?? '');
    });
    place.addEventListener('input', ({ target }) => {
      const value = target.type === 'checkbox' ? (target.checked ? 'true' : '') : target.value;
      if (target.dataset?.in && target.type !== 'file') tell(target, target.dataset.in, value);
    });
    place.addEventListener('change', ({ target }) => {
      if (!target.dataset?.photo || !target.files[0]) return;
      keepPhoto(target.files[0]).then((number) => tell(target, target.dataset.photo, number), () => tell(target, target.dataset.photo, ''));
      target.value = '';
    });
    // A row follows the finger (its neighbours move: it would lose the finger otherwise); where it is let go, it is told to stand.
    place.addEventListener('pointerdown', (event) => {
      const handle = event.target.closest?.('[data-drag]');
      const row = handle?.closest('li');
      if (!row) return;
      event.preventDefault();
      handle.setPointerCapture(event.pointerId);
      row.classList.add('dragged');
      const middle = (other) => { const box = other.getBoundingClientRect(); return box.top + box.height / 2; };
      const move = ({ clientY }) => {
        if (clientY > innerHeight - 140) scrollBy(0, 16); else if (clientY < 140) scrollBy(0, -16);
        for (let next = row.nextElementSibling; next && clientY > middle(next); next = row.nextElementSibling) row.before(next);
        for (let next = row.previousElementSibling; next && clientY < middle(next); next = row.previousElementSibling) row.after(next);
      };
      const end = () => {
        handle.removeEventListener('pointermove', move);
        row.classList.remove('dragged');
        act('move', Number(handle.dataset.drag), '', String([...row.parentNode.children].indexOf(row)));
      };
      handle.addEventListener('pointermove', move);
      handle.addEventListener('lostpointercapture', end, { once: true });
    });
    place.addEventListener('change', async ({ target }) => {
      if (target.type !== 'file' || !target.dataset.in || !target.files[0]) return;
      const text = partPhotos(await target.files[0].text());
      target.value = '';
      tell(target, target.dataset.in, text);
    });
    place.addEventListener('focusin', ({ target }) => {
      if (target.inputMode === 'decimal') target.select?.();
    });
    place.addEventListener('submit', (event) => {
      event.preventDefault();
      if (event.target.dataset.enter) tell(event.target, event.target.dataset.enter, '');
    });
  };

  // ---- Year and Papers: a module of their own, fetched when one of them is opened or the page is quiet ----
  let places = null;
  let latest = '';
  const fetchPlaces = async () => {
    const module = await import('./papers.js');
    await module.default({ module_or_path: './papers_bg.wasm' });
    return module;
  };
  drycurb.laterText = (text) => {
    latest = text;
    places?.then((module) => module.take(latest), () => {});
  };
  drycurb.later = async (host, place, month, old, changed) => {
    try {
      places ??= fetchPlaces();
      const module = await places;
      // The reader may be elsewhere by now.
      if (!host.isConnected) return;
      host.textContent = '';
      module.open(host, place, latest, navigator.language, month, old, changed);
    } catch (why) {
      places = null;
      host.dataset.failed = String(why);
    }
  };

  // ---- Out of the phone: the share sheet where there is one and it takes the file, else a download ----
  drycurb.give = (name, type, text) => {
    const file = new File([text], name, { type });
    const save = () => {
      const link = document.createElement('a');
      link.href = URL.createObjectURL(file);
      link.download = name;
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    };
    // Nothing but the file: some phones refuse it with anything beside.
    if (navigator.canShare?.({ files: [file] })) {
      navigator.share({ files: [file] }).catch((why) => { if (why.name !== 'AbortError') save(); });
    } else save();
  };

  // Codes from phone to phone; their part of the page is loaded when it is wanted. `cut` makes frames of bytes,
  // `take` gathers them and gives what is missing, `bytes` all of them in the end.
  drycurb.showCodes = async (text, cut, words) => {
    const codes = await import('./codes.js');
    const frames = cut(await codes.pack(text));
    codes.show(frames ? frames.split('\n') : [], words);
  };
  drycurb.scanCodes = async (words, take, whole, heard) => {
    const codes = await import('./codes.js');
    await codes.scan(words, (text) => {
      const left = take(text);
      if (left !== '0') return left;
      codes.unpack(whole()).then(heard, () => heard(''));
      return null;
    });
  };
  drycurb.print = () => window.print();
  drycurb.tell = (text) => {
    if (navigator.share) navigator.share({ text }).catch(() => {});
    else navigator.clipboard?.writeText(text).catch(() => {});
  };

  // ---- One element in place of another: a keyboard keeps its place, button for button ----
  const buttons = (element) => (element.matches('button') ? [element] : [...element.querySelectorAll('button')]);
  drycurb.swap = (old, next, place) => {
    const focused = old ? buttons(old).indexOf(document.activeElement) : -1;
    old?.remove();
    if (!next) return;
    place.parentNode?.insertBefore(next, place);
    if (focused >= 0) {
      const keys = buttons(next);
      (keys[focused] ?? keys[0])?.focus();
    }
  };

  // ---- Sensors ----
  // Calls back with x, y, z of gravity in m/s² as the phone feels it, and once when it begins to listen (a phone may
  // first ask its owner, who takes his time); gives a function that stops.
  drycurb.gravity = (callback, began, refused) => {
    let live = true;
    const hear = (event) => {
      const g = event.accelerationIncludingGravity;
      if (live && g && g.x !== null && g.y !== null && g.z !== null) callback(g.x, g.y, g.z);
    };
    const listen = () => {
      if (!live) return;
      addEventListener('devicemotion', hear);
      began();
    };
    const motion = window.DeviceMotionEvent;
    const refuse = () => { if (live) refused(); };
    if (!motion) refuse();
    else if (typeof motion.requestPermission === 'function') {
      motion.requestPermission().then((answer) => (answer === 'granted' ? listen() : refuse()), refuse);
    } else listen();
    return () => { live = false; removeEventListener('devicemotion', hear); };
  };
  // Position, rounded to two decimals (about a kilometre): enough for a climate, and no more than that.
  drycurb.position = (found, refused) => {
    if (!navigator.geolocation) { refused(); return; }
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => found(Math.round(coords.latitude * 100) / 100, Math.round(coords.longitude * 100) / 100),
      refused,
      { enableHighAccuracy: false, timeout: 60000, maximumAge: 600000 },
    );
  };
  // Keeps the screen on while something is timed; gives a function that lets go.
  drycurb.stayAwake = () => {
    let lock = null;
    let live = true;
    const ask = () => {
      if (live && document.visibilityState === 'visible') {
        navigator.wakeLock?.request('screen').then((held) => { lock = held; if (!live) held.release(); }, () => {});
      }
    };
    document.addEventListener('visibilitychange', ask);
    ask();
    return () => { live = false; document.removeEventListener('visibilitychange', ask); lock?.release(); };
  };
  drycurb.decimalComma = () => (1.5).toLocaleString(navigator.language).includes(',');

  // ---- Heavy work: one worker, started when first asked. Calls back once per answer. ----
  // How far it is goes straight to where it is shown, in steps of `data-done` percent: the place is not drawn for it.
  let done = { turn: 0, done_percent: 0 };
  const showDone = (data) => {
    done = data;
    document.querySelectorAll('[data-done]').forEach((part) => {
      const percent = data.done_percent - (data.done_percent % part.dataset.done);
      if (part.localName === 'progress') part.value = percent;
      else if (part.textContent !== `${percent}\u00a0%`) part.textContent = `${percent}\u00a0%`;
    });
  };
  drycurb.donePercent = () => (open.has(done.turn) ? done.done_percent : 0);
  let worker = null;
  let turn = 0;
  const open = new Map();
  drycurb.ask = (request, answered) => {
    if (!worker) {
      worker = new Worker('worker.js', { type: 'module' });
      worker.onmessage = ({ data }) => {
        if ('done_percent' in data) {
          showDone(data);
        } else {
          const answer = open.get(data.turn);
          open.delete(data.turn);
          answer?.(data.answer);
        }
      };
      // Its module may not be on the phone yet, or has broken: nobody waits for an answer that will not come.
      worker.onerror = () => {
        const waiting = [...open.values()];
        drycurb.stopAsking();
        waiting.forEach((answer) => answer(undefined));
      };
    }
    turn += 1;
    open.set(turn, answered);
    worker.postMessage({ turn, request });
    return turn;
  };
  // Has the worker end with the best so far; false when it does nothing that could end so.
  drycurb.halt = () => {
    if (!open.has(done.turn)) return false;
    worker.postMessage({ turn: done.turn, stop: true });
    return true;
  };
  // Ends whatever the worker is doing; what was asked and not answered stays unanswered.
  drycurb.stopAsking = () => { worker?.terminate(); worker = null; open.clear(); };

  // ---- Before the first paint: the theme last chosen ----
  try {
    const theme = localStorage.getItem('drycurb-theme');
    if (theme) document.documentElement.dataset.theme = theme;
  } catch { /* the system's theme stands */ }
})();
