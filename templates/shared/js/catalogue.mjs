// The catalogue: words and filters over the index that archive/search writes.
//
// The page works without this script: a real form, the newest plates as a
// static list, and links to the lists by year, format, light and tag. The
// script answers the form in place, keeps its state in the address, and shows
// the matching plates as cards cloned from a template in the page. It never
// makes markup out of data: text goes in as text, addresses through URL.
//
// THE MARKUP IT WORKS ON (one catalogue a page)
//
//   <form method="get" data-catalogue
//         data-index="index/"             folder of the index, relative to the page
//         data-base="../"                 what card addresses are relative to; default: the page
//         data-page-size="48"             cards a page: at first as they are scrolled to, and with each "more"; default 48
//         data-count-other="{n}"          a filter value's count, plural forms; default "{n}"
//         data-option="{label} ({n})">    an <option> with its count; default as shown
//     <input type="search" name="q">
//     <fieldset> … <label><input type="checkbox" name="format" value="sixth"> Sixth plate
//                         <span data-count>120</span></label> …
//     <select name="year"><option value="">Any year</option><option value="2026">2026</option> …
//     <button>Search</button> <button type="reset">Clear</button>
//   </form>
//
// Controls whose name is a facet of the index are filters: checkboxes, radio
// buttons, <select>, also multiple. Values are the index's keys; the words
// beside them are the page's. Within one facet any value will do, the facets
// together must all be met. Counts: what would match with that value chosen
// and the other facets as they are; they are fetched only while any can be
// seen. A <label> whose value matches nothing gets data-empty (dim it; it stays
// usable). Controls with other names are
// carried along in the address and do nothing.
//
//   <p role="status" data-status         say nothing of loading in the HTML: the text may be empty
//      data-zero="No plate matches."     plural forms by Intl.PluralRules of <html lang>:
//      data-one="{n} plate matches."     zero, one, two, few, many, other; only "other" must be there
//      data-other="{n} plates match."    ("zero" is used for 0 in every language if present)
//      data-near="“{word}” also read as {found}."   a misspelt word, one sentence each; {found}: up to three words
//      data-loading="Searching …"        only shown if an answer takes longer than 300 ms
//      data-failed="The search cannot be used just now. The lists below still work."></p>
//
//   <div data-static> … the page's own list … </div>    hidden once the first answer is drawn, back if the index fails
//   <ol data-results hidden></ol>                        the cards
//   <button type="button" data-more hidden>More plates</button>
//
// If the static list is only the beginning of the catalogue, [data-static] has
// data-listed, how many plates it holds; "more" is then offered at once and
// goes on after them.
//
//   <template data-card>
//     <li>                                    the one root element; gets data-<key> for each key of the
//       <a data-slot="link">                  card's data (format, support, tone …), for the style sheet
//         <img data-slot="image" sizes="(min-width: 40rem) 20rem, 45vw" loading="lazy" decoding="async">
//         <span data-slot="title"></span>
//       </a>
//       <span data-slot="caption"></span>
//       <span data-slot="size" data-pattern="{width} × {height} mm"></span>
//       <time data-slot="date"></time>
//     </li>
//   </template>
//
// Slots: link (href), image (src, srcset in w units, width, height, alt),
// title, caption, size (mm, numbers as the page's language writes them), date
// (datetime, and the day as the page's language writes it). A slot the card
// has nothing for is removed. Any slot may be missing or appear twice. Give
// sizes in the template, since srcset is in w units. The root may be the
// element with the slot itself.
//
// While an answer is being fetched, [data-results] has aria-busy="true". The
// form gets data-ready once the script listens. Focus never moves by a filter
// or a word; the button "more" moves it to the first new card's link.

import { asked, href, query, restore } from './search/address.mjs';
import { draw } from './search/cards.mjs';
import { show } from './search/counts.mjs';
import { search } from './search/engine.mjs';
import { fetcher, open } from './search/index.mjs';
import { counted, fill, listed } from './search/sentences.mjs';

// Scrolling alone draws this many pages of cards; after that only the button
// does, so that the foot of the page can be reached.
const pagesByScroll = 4;

// The cards that are drawn first. The rest of a page is fetched when someone
// comes near its end, so that a first answer moves few bytes.
const screenful = 12;

// inSight tells whether an element is laid out, not folded away.
const inSight = (element) => element.checkVisibility?.() ?? true;

class Catalogue {
  constructor(form) {
    this.form = form;
    this.status = document.querySelector('[data-status]');
    this.static = document.querySelector('[data-static]');
    this.results = document.querySelector('[data-results]');
    this.more = document.querySelector('[data-more]');
    this.template = document.querySelector('template[data-card]');
    this.folder = new URL(form.dataset.index, document.baseURI);
    this.base = new URL(form.dataset.base ?? '', document.baseURI);
    this.page = Number(form.dataset.pageSize) || 48;
    this.listed = Number(this.static?.dataset.listed) || 0;
    this.index = null;      // promise of the open index
    this.turn = 0;          // counts the questions; only the last is answered
    this.answer = null;
    this.cards = new Map(); // document number to the element drawn for it
    this.wanted = this.page;
    this.drawing = null;    // the turn whose first cards are being drawn
    this.extending = false;
    this.listen();
  }

  listen() {
    const { form } = this;
    form.addEventListener('input', (e) => this.changed(e.target.name === 'q'));
    form.addEventListener('change', (e) => {
      if (e.target.name === 'q') this.remember({ typing: false });
    });
    form.addEventListener('submit', (e) => {
      e.preventDefault();
      this.changed(false);
      this.remember({ typing: false });
    });
    // The controls are reset after the event. Reset means empty here, not what
    // the address said when the page was loaded.
    form.addEventListener('reset', () => setTimeout(() => {
      restore(form, new URLSearchParams());
      this.changed(false);
    }));
    // The index begins to load when a hand is on the form.
    for (const kind of ['focusin', 'pointerover']) {
      form.addEventListener(kind, () => this.opened().catch(() => {}), { once: true });
    }
    // Filters that were folded away come in sight.
    const unfolded = () => this.count().catch((e) => this.fail(e));
    form.addEventListener('toggle', unfolded, true);
    addEventListener('resize', unfolded);
    addEventListener('popstate', () => this.arrive());
    addEventListener('pagehide', () => this.remember({ scroll: scrollY }));
    this.more?.addEventListener('click', () => this.extend(true));
    form.toggleAttribute('data-ready', true);
    if (location.search || history.state?.shown) this.arrive();
    else if (this.more && this.listed > 0) this.more.hidden = false;
  }

  // arrive answers what the address asks, as far down as it was seen last.
  arrive() {
    restore(this.form, new URLSearchParams(location.search));
    const { shown = this.page, scroll = 0 } = history.state ?? {};
    this.wanted = shown;
    this.ask(scroll);
  }

  // changed takes the form's new state into the address. While a word is being
  // typed one entry of the history is kept up to date, so that "back" does not
  // go letter by letter.
  changed(typing) {
    const address = href(query(this.form));
    if (address !== location.pathname + location.search) {
      const state = { typing };
      if (typing && history.state?.typing) history.replaceState(state, '', address);
      else history.pushState(state, '', address);
    } else if (this.answer) {
      return;
    }
    this.wanted = this.page;
    this.ask(0);
  }

  remember(more) {
    history.replaceState({ ...history.state, ...more }, '');
  }

  opened() {
    if (!this.index) {
      this.index = open(fetcher(this.folder));
      this.index.catch(() => { this.index = null; });
    }
    return this.index;
  }

  // ask answers the form, once more with a fresh index if the first try fails:
  // the site may have been published anew since the page was opened.
  async ask(scroll) {
    const turn = ++this.turn;
    const slow = setTimeout(() => this.waiting(turn), 300);
    try {
      try {
        await this.respond(turn, scroll);
      } catch {
        if (turn !== this.turn) return;
        this.index = null;
        await this.respond(turn, scroll);
      }
    } catch (e) {
      if (turn === this.turn) this.fail(e);
    } finally {
      clearTimeout(slow);
      if (turn === this.turn) this.results.removeAttribute('aria-busy');
    }
  }

  async respond(turn, scroll) {
    const index = await this.opened();
    const answer = await search(index, asked(query(this.form), index.facetNames));
    if (turn !== this.turn) return;
    this.answer = { index, turn, ...answer };
    this.say();
    const kept = this.cards;
    this.cards = new Map();
    // A screenful first, so that it does not wait for the rest; all at once where
    // fewer would shorten the page for a moment and lose the place.
    this.drawing = turn;
    const atHead = scrollY === 0 && scroll === 0 && this.wanted === this.page;
    await this.drawTo(atHead ? Math.min(screenful, this.wanted) : this.wanted, turn, kept);
    if (turn !== this.turn) return;
    this.drawing = null;
    this.offerMore();
    if (scroll > 0) scrollTo({ top: scroll, behavior: 'instant' });
    await this.count();
  }

  // count puts the counts of the answer beside the filters, once, if anyone can
  // see them: they are most of what an answer would fetch.
  async count() {
    const { answer } = this;
    if (!answer || answer.counted || ![...this.form.querySelectorAll('[data-count], option')].some(inSight)) return;
    answer.counted = true;
    const counts = await answer.counts();
    if (answer === this.answer) show(this.form, counts);
  }

  // drawTo draws the cards up to a number. Those whose file is here are drawn
  // at once, the others as they come, always in order; kept ones are reused.
  async drawTo(number, turn, kept = new Map()) {
    const { index, docs } = this.answer;
    const end = Math.min(number, docs.length);
    let fresh = this.cards.size === 0;
    let part = document.createDocumentFragment();
    const flush = () => {
      if (fresh) this.results.replaceChildren(part);
      else this.results.append(part);
      part = document.createDocumentFragment();
      if (fresh) this.uncover();
      fresh = false;
    };
    const coming = [];
    for (let i = this.cards.size; i < end; i++) {
      if (!kept.has(docs[i]) && !index.cardNow(docs[i])) coming.push(index.card(docs[i]));
    }
    for (const c of coming) c.catch(() => {});
    for (let i = this.cards.size; i < end; i++) {
      const doc = docs[i];
      if (!kept.has(doc) && !index.cardNow(doc)) {
        if (part.firstChild) flush();
        await index.card(doc);
        if (turn !== this.turn) return;
      }
      const element = kept.get(doc) ?? draw(this.template, index.cardNow(doc), this.base);
      this.cards.set(doc, element);
      part.append(element);
    }
    flush();
  }

  offerMore() {
    if (!this.more) return;
    this.more.hidden = this.cards.size >= this.answer.docs.length;
    this.watchScroll();
  }

  // uncover puts the results in the place of the page's own list.
  uncover() {
    this.results.hidden = false;
    if (this.static) this.static.hidden = true;
  }

  // say tells how many match, and which words were taken for misspelt.
  say() {
    const { docs, near } = this.answer;
    const { dataset } = this.status;
    const sentences = [counted(dataset, '', docs.length)];
    for (const { word, found } of near) {
      if (dataset.near) sentences.push(fill(dataset.near, { word, found: listed(found.slice(0, 3)) }));
    }
    this.tell(sentences.join(' '));
  }

  waiting(turn) {
    // Once the count is told, drawing cards may take longer without a word.
    if (turn !== this.turn || this.answer?.turn === turn) return;
    this.results.setAttribute('aria-busy', 'true');
    if (this.status.dataset.loading) this.tell(this.status.dataset.loading);
  }

  tell(text) {
    if (this.status.textContent !== text) this.status.textContent = text;
  }

  fail(error) {
    console.warn(error);
    this.index = null;
    this.answer = null;
    this.tell(this.status.dataset.failed ?? error.message);
    this.results.hidden = true;
    if (this.static) this.static.hidden = false;
    if (this.more) this.more.hidden = true;
  }

  // extend draws the rest of a page of cards, or the next page. By the button,
  // the focus goes to the first new one.
  async extend(byButton) {
    if (this.extending || this.drawing === this.turn) return;
    this.extending = true;
    const before = this.answer ? this.cards.size : this.listed;
    if (!this.answer || before >= this.wanted) {
      this.wanted = before + this.page;
      this.remember({ shown: this.wanted });
    }
    const asking = this.answer ? null : this.ask(0);
    const { turn } = this;
    try {
      await (asking ?? this.drawTo(this.wanted, turn));
      if (turn !== this.turn || !this.answer) return;
      this.offerMore();
      if (byButton) this.focusCard(before);
    } catch (e) {
      if (turn === this.turn) this.fail(e);
    } finally {
      this.extending = false;
    }
  }

  focusCard(place) {
    const card = this.results.children[place];
    const link = card?.matches('a[href]') ? card : card?.querySelector('a[href]');
    link?.focus();
  }

  // watchScroll extends when the button comes near the window. An observer
  // tells only of changes, so it is set anew whenever cards were drawn.
  watchScroll() {
    if (!this.more || typeof IntersectionObserver === 'undefined') return;
    this.watch ??= new IntersectionObserver(async ([entry]) => {
      const drawn = this.cards.size;
      if (!entry.isIntersecting || !this.answer || drawn === 0 || drawn >= pagesByScroll * this.page) return;
      await this.extend(false);
    }, { rootMargin: '50% 0px' });
    this.watch.unobserve(this.more);
    this.watch.observe(this.more);
  }
}

const form = document.querySelector('form[data-catalogue]');
if (form) new Catalogue(form);
