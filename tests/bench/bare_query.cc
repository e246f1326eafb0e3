// The least that a program can do to answer a search: opens a Xapian index, parses the words, prints what the ten best hold.
//
//   bare_query INDEX WORDS
#include <xapian.h>

#include <iostream>

int main(int count, char** words) {
  if (count != 3) return 2;
  try {
    const Xapian::Database db(words[1]);
    Xapian::QueryParser parser;
    parser.set_database(db);
    parser.set_stemmer(Xapian::Stem("english"));
    Xapian::Enquire enquire(db);
    enquire.set_query(parser.parse_query(words[2]));
    const Xapian::MSet found = enquire.get_mset(0, 10);
    for (auto at = found.begin(); at != found.end(); ++at) std::cout << at.get_document().get_data() << '\n';
    return found.empty() ? 1 : 0;
  } catch (const Xapian::Error& error) {
    std::cerr << error.get_description() << '\n';
    return 2;
  }
}
