package daybook

// SourceKey is the own key that a record made from a row of a table carries, if
// its id does not come from the table: the row is known by it when the table is
// read again.
const SourceKey = "x_source"

// PrivateFolder holds what belongs to the archive and is no record: signatures
// of sitters. Their endings (.svg, .txt) are none that record reads, so they are
// never taken for a scan or a plate.
const PrivateFolder = "private"
