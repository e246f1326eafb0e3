// What the words of the base mean: properties, sources, functions, rules. Read from data/, never from code.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace kb {

// How far to trust a fact. The order is the order of trust.
enum class Standing : std::uint8_t { kOwn, kPublished, kCommonPractice, kEstimate, kMemory };

// "own", "published", "common practice", "estimate", "memory"
std::string_view StandingName(Standing standing);
std::optional<Standing> StandingFromName(std::string_view name);

struct Source {
  std::string key;  // as in data/sources.toml
  std::string
      kind;  // law, standard, pharmacopoeia, journal, handbook, dataset, trade, teaching, practice, memory
  std::string title;  // of the work
  std::string where;  // journal, identifier; may be empty
  int year = 0;       // 0: none stated
  std::string note;
  Standing standing = Standing::kMemory;  // what its kind earns at most
};

// The standing that a kind of source earns; nullopt for a kind that does not exist.
std::optional<Standing> StandingOfKind(std::string_view kind);

enum class ValueKind : std::uint8_t { kNumber, kChoice, kText };

// What a number is: measured or defined by law or structure; what one is advised to do; or an opinion of ours.
enum class CountsAs : std::uint8_t { kFigure, kAdvice, kJudgement };

struct Property {
  std::string id;
  ValueKind kind = ValueKind::kText;
  std::string group;
  std::string unit;  // numbers only
  double low = 0;    // the least value that can be true
  double high = 0;   // the greatest
  std::vector<std::string> choices;
  bool ordered = false;  // the choices run from one end to the other
  bool scale = false;    // and are steps: facts hold the step, 1 the first, beside the word; read from data/
  std::vector<std::string> keys;  // empty: no key; {"*"}: any
  std::string help;
  std::string more, less;  // what a maker notices where a stand-in has more, or less, of it; "" says nothing
  std::vector<std::string> classes;        // only ingredients of these classes can have it; empty: any
  CountsAs counts_as = CountsAs::kFigure;  // numbers only; read from data/, not kept in a base
  std::string beside;  // means something only where this property is known too; read from data/
};

// How one property counts when two ingredients are compared in a role.
struct Comparison {
  std::string property;
  double weight = 1;
  double scale =
      0;  // numbers: the difference at which likeness has fallen to 1/e; 0 takes a tenth of the range
  bool ratio = false;  // numbers: compare logarithms; scale is then in natural-log units
  std::string
      better;  // ordered choices: "earlier" or "later" where a stand-in that lies there is a gain: it costs half
};

struct FunctionCard {
  std::string what, choose, levels, wrong;  // mechanism; how to choose; usual levels; what goes wrong
  std::vector<std::string> sources;         // keys
};

// A fact that a candidate must hold (or must not) to play a role at all.
struct Requirement {
  std::string property;
  std::vector<std::string> any;   // one of these; a candidate without the fact passes but loses confidence
  std::vector<std::string> none;  // none of these
  std::vector<std::string> in;    // only for these forms of product; empty: all
  std::string because;
};

struct Function {
  std::string id;
  std::string name;
  std::string group;
  std::vector<std::string> also;       // what makers call it
  std::vector<std::string> inventory;  // names of the EU nomenclature
  std::vector<std::string> required;   // properties that each member must hold
  std::vector<std::string> wanted;     // properties that each member should hold
  std::vector<Comparison> compare;
  std::vector<Requirement> requires_;
  std::vector<std::string> same;  // properties whose choices must meet between missing and stand-in
  std::vector<std::string> near;  // functions that can take this one over, less well
  std::string level_law = "same-mass";
  std::string swap = "yes";        // yes, rework (no drop-in is likely), never
  std::string swap_note;           // why, where not yes
  std::vector<std::string> forms;  // product forms in which the function is usual; empty: all
  double supply = 1;               // how much sharing the job with others weakens the role, 0..1
  FunctionCard card;
};

// A claim and how it follows from what an ingredient is, where the record says nothing itself.
struct ClaimRule {
  std::string id;
  std::string text;
  std::vector<std::string> broken_by_class, broken_by_origin, broken_by_function;
  std::vector<std::string> broken_by_inci;  // fragments of a label name
  std::vector<std::string> kept_by_origin;  // with origin in this list it is kept; empty: kept unless broken
  std::string burden;  // what speaks against an ingredient that breaks it, even where nobody asked; may be ""
  double burden_factor = 1;  // and what that costs it in a ranking, 0..1
  bool assume_kept = false;  // true: what nothing breaks keeps it; false: unknown
};

struct Limit {
  std::string substance;  // INCI
  std::string jurisdiction, annex, entry;
  std::optional<double> max_pct;   // nullopt: a condition only
  std::string expressed_as;        // "" as the substance itself
  double factor = 1;               // grams of what it is expressed as, a gram of the substance
  std::string scope;               // the regulation's words, shortened
  std::vector<std::string> uses;   // leave-on, rinse-off, oral ...; empty: all
  std::vector<std::string> forms;  // forms of product; empty: all
  std::string conditions;
  std::string source, at;
  bool prohibited = false;
};

struct ConflictSide {
  std::vector<std::string> ingredients, functions, classes, charges;  // any of
  std::string condition;                                              // see data/conflicts.toml
};

struct Conflict {
  std::string id;
  ConflictSide a, b;
  std::string severity;  // stop, warn, note
  std::string text, advice;
  std::string source;
};

// One term of a condition in data/placing.toml; see kb/placing.h.
struct PlacingTerm {
  std::string name;                 // property, `function` or what follows from facts and batch
  std::string sign;                 // "" one of the values, "not" none of them, "known", or a comparison
  std::vector<std::string> values;  // of "" and "not"
  double number = 0;                // of a comparison
};

// Evidence for and against the positions in which an ingredient can go in.
struct PlacingRule {
  std::string id;
  std::string when;                // the condition as written
  std::vector<PlacingTerm> terms;  // the same, read
  std::vector<double> weights;     // one a position (kb/placing.h), log-odds: above 0 speaks for it
  std::vector<bool> out;           // one a position: ruled out, whatever speaks for it
  std::string says;                // why; {name} stands for the value of a fact
  std::vector<std::string> at;     // positions for which the texts below hold; empty: all
  std::string method;              // what to do
  std::string right, wrong;        // what to see when it is right; what went wrong when it is not
  std::string watch;               // what to look out for
  std::string source;
};

// What a bench test can show, and what it tells about the ingredient.
struct BenchOutcome {
  std::string sees;
  std::vector<std::string> sets;  // facts as `--described` takes them, "in_water=dissolves"
  double share = 1;               // how common it is beside the other outcomes
};

// How to find a fact out at the bench.
struct BenchTest {
  std::string id;
  std::string fact;  // for people: what is asked
  std::string when;
  std::vector<PlacingTerm> terms;
  std::string how;  // amounts, temperature, time, what to look for
  std::vector<BenchOutcome> outcomes;
};

struct Placing {
  std::vector<double> prior;  // log-odds of the positions where nothing is known
  std::vector<PlacingRule> rules;
  std::vector<BenchTest> tests;
};

// A formula of ours that comes with the base: `typical` for a kind of product, or `demo`.
struct SavedFormula {
  std::string folder;  // typical, demo
  std::string id;      // file name without its ending
  std::string text;    // as kb::ReadFormula takes it
};

// What people type and what it stands for when they search. The language of `filters` and `wants`: kb/search_filter.h.
struct Phrase {
  std::string id;
  std::vector<std::string> words;      // the ways it is put; '#' stands for a number
  std::string ask;                     // a kind of question (query/find.h); "" none
  std::vector<std::string> filters;    // must hold
  std::vector<std::string> wants;      // goes first where it holds
  std::vector<std::string> functions;  // members of these are meant
  std::string look_for;                // words to search for in its place
  bool idle = false;                   // says nothing: left out of the search
};

struct ChemicalClass {
  std::string id;
  std::string family;  // classes of one family are kin
};

}  // namespace kb
