#include <clampbook/record/line.h>

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <type_traits>
#include <utility>

namespace clampbook::record {

using text::Json;
using units::Dimension;

namespace {

constexpr std::array kDimensions{Dimension::torque, Dimension::angle,      Dimension::length,
                                 Dimension::force,  Dimension::stress,     Dimension::stiffness,
                                 Dimension::time,   Dimension::temperature};

// In the order of the variant.
constexpr std::array<std::string_view, std::variant_size_v<Line> - 1> kKinds{
    "reading", "tick",   "count",   "measure", "begun",    "planned",  "void",
    "note",    "fitted", "removed", "unsure",  "accepted", "abandoned"};

// Each kind is described once; a reader and a writer run the description. The order is the file's.
template <class Io, class T>
using Of = std::conditional_t<Io::kWrites, const T, T>;

template <class Io>
void describe(Io& io, Of<Io, Place>& p) {
  io.number("pass", p.pass);
  io.number("step", p.step);
  io.number("stage", p.stage);
  io.text("bolt", p.bolt);
}

template <class Io>
void describe(Io& io, Of<Io, Reading>& r) {
  describe(io, r.at);
  io.quantity("value", r.value);
  io.quantity("also", r.also);
  io.words("given", r.given);
  io.words("also_given", r.also_given);
  io.flag("no_turn", r.no_turn);
  io.line("corrects", r.corrects);
  io.line("restores", r.restores);
}

template <class Io>
void describe(Io& io, Of<Io, Tick>& t) {
  describe(io, t.at);
  io.line("corrects", t.corrects);
}

template <class Io>
void describe(Io& io, Of<Io, Count>& c) {
  describe(io, c.at);
  io.real("value", c.value);
  io.words("given", c.given);
  io.line("corrects", c.corrects);
}

template <class Io>
void describe(Io& io, Of<Io, Measure>& m) {
  describe(io, m.at);
  io.quantity("value", m.value);
  io.words("given", m.given);
  io.line("corrects", m.corrects);
}

template <class Io>
void describe(Io& io, Of<Io, Begun>& b) {
  io.number("pass", b.pass);
  io.whole_text("title", b.title);
  io.whole_text("file", b.file);
  io.whole_text("sha256", b.sha256);
  io.truth("trial", b.trial);
  io.text("only", b.only);
  io.whole_text("program", b.program);
  io.whole_text("schedule", b.schedule);
  io.text("tools", b.tools);
  io.text("operation", b.operation);
  io.build("build", b.build);
}

template <class Io>
void describe(Io& io, Of<Io, Planned>& p) {
  io.number("pass", p.pass);
  io.tree("plan", p.plan);
}

template <class Io>
void describe(Io& io, Of<Io, Void>& v) {
  io.number("pass", v.pass);
  io.number("voids", v.voids);
}

template <class Io>
void describe(Io& io, Of<Io, Note>& n) {
  io.number("pass", n.pass);
}

template <class Io>
void describe(Io& io, Of<Io, Fitted>& f) {
  io.number("pass", f.pass);
  io.texts("bolts", f.bolts);
  io.line("uses", f.uses);
}

template <class Io>
void describe(Io& io, Of<Io, Removed>& r) {
  io.number("pass", r.pass);
  io.texts("bolts", r.bolts);
}

template <class Io>
void describe(Io& io, Of<Io, Unsure>& u) {
  describe(io, u.at);
}

template <class Io>
void describe(Io& io, Of<Io, Accepted>& a) {
  io.number("pass", a.pass);
  io.number("accepts", a.accepts);
}

template <class Io>
void describe(Io& io, Of<Io, Abandoned>& a) {
  io.number("pass", a.pass);
}

template <class Io>
void describe(Io& io, Of<Io, Remarks>& r) {
  io.text("key", r.key);
  io.text("typed", r.typed);
  io.text("tool", r.tool);
  if (r.because_first) io.text("because", r.because);
  io.text("by", r.by);
  io.text("note", r.note);
  if (!r.because_first) io.text("because", r.because);
}

Json to_json(const Build& build) {
  Json operations = Json::array();
  for (const Build::Operation& o : build.operations) {
    Json after = Json::array();
    for (const std::string& name : o.after) after.push(name);
    operations.push(Json::object().set("name", o.name).set("after", std::move(after)));
  }
  return Json::object()
      .set("title", build.title)
      .set("file", build.file)
      .set("sha256", build.sha256)
      .set("operations", std::move(operations))
      .set("steps", build.steps);
}

std::optional<std::vector<std::string>> texts_of(const Json* list) {
  if (list == nullptr || list->as_array() == nullptr) return std::nullopt;
  std::vector<std::string> out;
  for (const Json& item : *list->as_array()) {
    if (item.as_string() == nullptr) return std::nullopt;
    out.push_back(*item.as_string());
  }
  return out;
}

// Nothing unless it is exactly what to_json writes.
std::optional<Build> build_of(const Json& tree) {
  const auto text = [&](std::string_view key) {
    const Json* found = tree.find(key);
    return found != nullptr && found->as_string() != nullptr ? *found->as_string() : std::string();
  };
  Build out{text("title"), text("file"), text("sha256")};
  const Json* steps = tree.find("steps");
  if (steps != nullptr && steps->as_integer() != nullptr)
    out.steps = static_cast<std::size_t>(std::max<std::int64_t>(*steps->as_integer(), 0));
  const Json* list = tree.find("operations");
  if (list == nullptr || list->as_array() == nullptr) return std::nullopt;
  for (const Json& item : *list->as_array()) {
    const Json* name = item.find("name");
    auto after = texts_of(item.find("after"));
    if (name == nullptr || name->as_string() == nullptr || !after) return std::nullopt;
    out.operations.push_back({*name->as_string(), std::move(*after)});
  }
  return to_json(out) == tree ? std::optional(std::move(out)) : std::nullopt;
}

/// Appends members to a line; what is absent or null is left out.
class Writer {
 public:
  static constexpr bool kWrites = true;

  explicit Writer(std::string& line) : line_(line) {}

  /// 0 stands for a number that is not there.
  template <class Integer>
  void number(std::string_view key, Integer n) {
    if (n != 0) member(key) += fmt::format("{}", n);
  }
  void line(std::string_view key, const std::optional<std::int64_t>& n) {
    if (n) member(key) += fmt::format("{}", *n);
  }
  void real(std::string_view key, const std::optional<double>& x) {
    if (x) text::append_json_number(member(key), *x);
  }
  void quantity(std::string_view key, const std::optional<Quantity>& q) {
    if (q) real(std::string(key) + std::string(units::machine_suffix(q->dimension)), q->value);
  }
  void whole_text(std::string_view key, const std::string& s) { text::append_json_string(member(key), s); }
  void words(std::string_view key, const std::string& s) {
    if (!s.empty()) whole_text(key, s);
  }
  void text(std::string_view key, const std::optional<std::string>& s) {
    if (s) whole_text(key, *s);
  }
  void truth(std::string_view key, bool b) { member(key) += b ? "true" : "false"; }
  void flag(std::string_view key, bool b) {
    if (b) truth(key, b);
  }
  void texts(std::string_view key, const std::vector<std::string>& list) {
    Json out = Json::array();
    for (const std::string& s : list) out.push(s);
    tree(key, out);
  }
  void build(std::string_view key, const std::optional<Build>& b) {
    if (b) tree(key, to_json(*b));
  }
  void tree(std::string_view key, const Json& value) {
    if (!value.is_null()) value.dump_to(member(key));
  }

 private:
  std::string& member(std::string_view key) {
    line_ += ",\"";
    line_ += key;
    line_ += "\":";
    return line_;
  }

  std::string& line_;
};

/// Takes members out of a line. One of another type than the description says stays where it is.
class Reader {
 public:
  static constexpr bool kWrites = false;

  explicit Reader(Json::Object& members) : members_(members), taken_(members.size(), false) {}

  template <class Integer>
  void number(std::string_view key, Integer& out) {
    const std::optional<std::size_t> at = find(key);
    const std::int64_t* n = at ? members_[*at].second.as_integer() : nullptr;
    if (n == nullptr || !std::in_range<Integer>(*n)) return;
    out = static_cast<Integer>(*n);
    take(*at);
  }
  void line(std::string_view key, std::optional<std::int64_t>& out) {
    std::int64_t n = 0;
    const std::size_t before = taken_count_;
    number(key, n);
    if (taken_count_ != before) out = n;
  }
  void real(std::string_view key, std::optional<double>& out) {
    const std::optional<std::size_t> at = find(key);
    if (!at || !members_[*at].second.as_number()) return;
    out = members_[*at].second.as_number();
    take(*at);
  }
  void quantity(std::string_view key, std::optional<Quantity>& out) {
    for (std::size_t i = 0; i < members_.size(); ++i) {
      const std::string_view name = members_[i].first;
      if (taken_[i] || !name.starts_with(key)) continue;
      const auto dimension = dimension_of(name.substr(key.size()));
      const auto number = members_[i].second.as_number();
      if (!dimension || !number) continue;
      out = Quantity{*dimension, *number};
      take(i);
      return;
    }
  }
  void whole_text(std::string_view key, std::string& out) {
    const std::optional<std::size_t> at = find(key);
    if (!at || members_[*at].second.as_string() == nullptr) return;
    out = *members_[*at].second.as_string();
    take(*at);
  }
  void words(std::string_view key, std::string& out) {
    const std::optional<std::size_t> at = find(key);
    if (at && members_[*at].second.as_string() != nullptr && !members_[*at].second.as_string()->empty())
      whole_text(key, out);
  }
  void text(std::string_view key, std::optional<std::string>& out) {
    const std::optional<std::size_t> at = find(key);
    if (at && members_[*at].second.as_string() != nullptr) whole_text(key, out.emplace());
  }
  void truth(std::string_view key, bool& out) {
    const std::optional<std::size_t> at = find(key);
    if (!at || members_[*at].second.as_bool() == nullptr) return;
    out = *members_[*at].second.as_bool();
    take(*at);
  }
  void flag(std::string_view key, bool& out) { truth(key, out); }
  void texts(std::string_view key, std::vector<std::string>& out) {
    const std::optional<std::size_t> at = find(key);
    auto list = at ? texts_of(&members_[*at].second) : std::nullopt;
    if (!list) return;
    out = std::move(*list);
    take(*at);
  }
  void build(std::string_view key, std::optional<Build>& out) {
    const std::optional<std::size_t> at = find(key);
    if (!at) return;
    out = build_of(members_[*at].second);
    if (out) take(*at);
  }
  void tree(std::string_view key, Json& out) {
    const std::optional<std::size_t> at = find(key);
    if (!at) return;
    out = std::move(members_[*at].second);
    take(*at);
  }

  /// Whether `first` stands before `second`, both of them in the line.
  [[nodiscard]] bool stands_before(std::string_view first, std::string_view second) const {
    const auto place = [&](std::string_view key) {
      return std::find_if(members_.begin(), members_.end(), [&](const auto& m) { return m.first == key; });
    };
    return place(second) != members_.end() && place(first) < place(second);
  }
  void drop(std::string_view key) {
    if (const std::optional<std::size_t> at = find(key)) take(*at);
  }
  /// What nobody took.
  [[nodiscard]] Json::Object rest() {
    Json::Object out;
    if (taken_count_ == members_.size()) return out;
    for (std::size_t i = 0; i < members_.size(); ++i)
      if (!taken_[i]) out.push_back(std::move(members_[i]));
    return out;
  }

 private:
  static std::optional<Dimension> dimension_of(std::string_view suffix) {
    if (suffix.empty()) return Dimension::ratio;
    for (const Dimension d : kDimensions)
      if (suffix == units::machine_suffix(d)) return d;
    return std::nullopt;
  }
  void take(std::size_t at) {
    taken_[at] = true;
    ++taken_count_;
    next_ = at + 1;
  }
  // Members usually stand in the order in which they are asked for.
  [[nodiscard]] std::optional<std::size_t> find(std::string_view key) const {
    for (std::size_t n = 0; n < members_.size(); ++n) {
      const std::size_t i = (next_ + n) % members_.size();
      if (!taken_[i] && members_[i].first == key) return i;
    }
    return std::nullopt;
  }

  Json::Object& members_;
  std::vector<bool> taken_;
  std::size_t taken_count_ = 0;
  std::size_t next_ = 0;
};

template <class T>
struct Unboxed {
  using Type = T;
};
template <class T>
struct Unboxed<Box<T>> {
  using Type = T;
};

template <std::size_t I = 0>
Line read_line(Reader& reader, std::string_view kind) {
  if constexpr (I < kKinds.size()) {
    if (kind != kKinds[I]) return read_line<I + 1>(reader, kind);
    typename Unboxed<std::variant_alternative_t<I, Line>>::Type out{};
    describe(reader, out);
    return Line(std::in_place_index<I>, std::move(out));
  } else {
    return Unknown{std::string(kind)};
  }
}

void write_line(Writer& writer, const Line& line) {
  std::visit(
      [&]<class T>(const T& what) {
        if constexpr (std::is_same_v<T, Unknown>) {
          for (const auto& [key, value] : what.members) writer.tree(key, value);
        } else if constexpr (std::is_same_v<T, typename Unboxed<T>::Type>) {
          describe(writer, what);
        } else {
          describe(writer, *what);
        }
      },
      line);
}

std::optional<Timestamp> time_of(Reader& reader, std::string_view key) {
  std::string words;
  reader.whole_text(key, words);
  return parse_timestamp(words);
}

}  // namespace

Quantity quantity_of(const units::Measured& measured) {
  return {measured.dimension(), measured.machine_value()};
}

units::Measured measured(const Quantity& quantity) {
  return {quantity.value, units::machine_unit(quantity.dimension)};
}

std::string_view kind_of(const Line& line) {
  if (const auto* unknown = std::get_if<Unknown>(&line)) return unknown->kind;
  return kKinds[line.index()];
}

namespace {

template <class T>
concept HasPlace = requires(const T& line) {
  line.at.step;
};
template <class T>
concept HasPass = requires(const T& line) {
  line.pass;
};
template <class T>
concept Corrects = requires(const T& line) {
  line.corrects;
};

std::int64_t pass_among(const Json::Object& members) {
  for (const auto& [key, value] : members)
    if (key == "pass" && value.as_integer() != nullptr) return *value.as_integer();
  return 0;
}

}  // namespace

const Place* place_of(const Line& line) {
  return std::visit(
      []<class T>(const T& what) -> const Place* {
        if constexpr (HasPlace<T>) return &what.at;
        return nullptr;
      },
      line);
}

std::int64_t pass_of(const Line& line) {
  if (const Place* place = place_of(line)) return place->pass;
  return std::visit(
      []<class T>(const T& what) -> std::int64_t {
        if constexpr (HasPass<T>) return what.pass;
        if constexpr (HasPass<typename Unboxed<T>::Type> && !HasPass<T>) return what->pass;
        if constexpr (std::is_same_v<T, Unknown>) return pass_among(what.members);
        return 0;
      },
      line);
}

std::optional<std::int64_t> corrects(const Line& line) {
  return std::visit(
      []<class T>(const T& what) -> std::optional<std::int64_t> {
        if constexpr (Corrects<T>) return what.corrects;
        return std::nullopt;
      },
      line);
}

void set_corrects(Line& line, std::int64_t corrected) {
  std::visit(
      [&]<class T>(T& what) {
        if constexpr (Corrects<T>) what.corrects = corrected;
      },
      line);
}

bool read_event(Json tree, Event& out, std::string& after, std::string& why) {
  Json::Object* members = tree.as_object();
  if (members == nullptr) {
    why = "it lacks what every line has";
    return false;
  }
  Reader reader(*members);
  reader.number("seq", out.seq);
  const auto written = time_of(reader, "written"), at = time_of(reader, "at");
  std::string kind;
  reader.whole_text("kind", kind);
  if (!written || !at || kind.empty() || out.seq < 1) {
    why = "it lacks what every line has";
    return false;
  }
  out.written = *written;
  out.at = *at;
  out.line = read_line(reader, kind);
  Remarks remarks;
  remarks.because_first = reader.stands_before("because", "by");
  describe(reader, remarks);
  reader.number("mends", out.mends);
  reader.whole_text("after", after);
  reader.drop("seal");
  remarks.rest = reader.rest();
  // The members of an unknown kind are its own, but for what every line may have.
  if (auto* unknown = std::get_if<Unknown>(&out.line)) unknown->members = std::exchange(remarks.rest, {});
  if (remarks != Remarks{}) out.remarks = std::move(remarks);
  return true;
}

std::string open_line(const Event& event) {
  std::string out = fmt::format("{{\"seq\":{},\"written\":\"{}\",\"at\":\"{}\",\"kind\":", event.seq,
                                to_string(event.written), to_string(event.at));
  text::append_json_string(out, event.kind());
  Writer writer(out);
  write_line(writer, event.line);
  describe(writer, *event.remarks);
  for (const auto& [key, value] : event.remarks->rest) writer.tree(key, value);
  writer.number("mends", event.mends);
  return out;
}

}  // namespace clampbook::record
