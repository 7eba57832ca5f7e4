// The form and the page's address: each can be read from the other.

// query gives what the form says, as the address would: without empty values,
// in the form's order.
export function query(form) {
  const params = new URLSearchParams();
  for (const [name, value] of new FormData(form)) {
    if (typeof value === 'string' && value.trim() !== '') params.append(name, value);
  }
  return params;
}

// href gives the page's address with a query.
export function href(params) {
  const search = params.toString();
  return location.pathname + (search && `?${search}`);
}

// restore sets the form to what the address says.
export function restore(form, params) {
  for (const control of form.elements) {
    if (!control.name || control.disabled) continue;
    const values = params.getAll(control.name);
    switch (control.type) {
      case 'checkbox':
      case 'radio':
        control.checked = values.includes(control.value);
        break;
      case 'select-one':
      case 'select-multiple':
        for (const o of control.options) o.selected = values.includes(o.value);
        if (control.selectedIndex < 0 && control.type === 'select-one') control.selectedIndex = 0;
        break;
      case 'submit':
      case 'reset':
      case 'button':
      case 'hidden':
      case 'fieldset':
      case 'output':
        break;
      default:
        control.value = values[0] ?? '';
    }
  }
}

// asked takes words and filters out of a query, given the facets' names.
export function asked(params, facetNames) {
  const filters = new Map();
  for (const name of facetNames) {
    const values = params.getAll(name);
    if (values.length > 0) filters.set(name, values);
  }
  return { text: params.get('q') ?? '', filters };
}
