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
//         data-page-size="48"             cards at first and with each "more"; default 48
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
// and the other facets as they are. A <label> whose value matches nothing
// gets data-empty (dim it; it stays usable). Controls with other names are
// carried along in the address and do nothing.
//
//   <p role="status" data-status         say nothing of loading in the HTML: the text may be empty
//      data-zero="No plate matches."     plural forms by Intl.PluralRules of <html lang>:
//      data-one="{n} plate matches."     zero, one, two, few, many, other; only "other" must be there
//      data-other="{n} plates match."    ("zero" is used for 0 in every language if present)
//      data-near="Nothing for “{word}”, so {found} is shown."   one sentence a word, {found}: up to three words
//      data-loading="Searching …"        only shown if an answer takes longer than 300 ms
//      data-failed="The search cannot be used just now. The lists below still work."></p>
//
//   <div data-static> … the page's own list … </div>    stays until the first answer is drawn, back if the index fails
//   <ol data-results hidden></ol>                        the cards
//   <button type="button" data-more hidden>More plates</button>
//
// A page whose static list does not hold every plate gives the number of all
// of them as data-total on [data-static]; then "more" is offered at once.
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
