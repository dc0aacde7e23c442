#include <clampbook/schedule/model.h>
#include <clampbook/schedule/yaml_tree.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>
#include <yaml-cpp/depthguard.h>
#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/exceptions.h>
#include <yaml-cpp/parser.h>

#include <algorithm>
#include <istream>
#include <streambuf>

namespace clampbook::schedule {

using text::Diagnostic;
using text::Location;

std::string_view YamlNode::shape() const {
  switch (kind) {
    case Kind::null:
      return "empty";
    case Kind::scalar:
      return "a text";
    case Kind::sequence:
      return "a list";
    case Kind::map:
      return "a mapping";
  }
  return "";
}

Location YamlNode::part(std::size_t offset, std::size_t length) const {
  if (kind != Kind::scalar || scalar.empty()) return at;
  const std::string_view text = at.source->text();
  const std::size_t quote =
      !plain && at.offset < text.size() && (text[at.offset] == '"' || text[at.offset] == '\'');
  if (text.substr(std::min(at.offset + quote, text.size()), scalar.size()) != scalar) return at;
  return {at.source, at.offset + quote + std::min(offset, scalar.size()), std::max<std::size_t>(length, 1)};
}

namespace {

// Stands in a comment on the last line. A quote that is never closed swallows it; so does nothing else.
constexpr std::string_view kSentinel = "end of the text \x1A";

struct Refused {};  // thrown through yaml-cpp to stop after an error that makes the rest meaningless

class TreeBuilder : public YAML::EventHandler {
 public:
  TreeBuilder(text::SourcePtr source, std::size_t skipped, text::Diagnostics& out)
      : source_(std::move(source)), skipped_(skipped), out_(out) {}

  [[nodiscard]] YamlNode take() { return std::move(root_); }
  [[nodiscard]] bool seen() const { return seen_; }
  void second_document() { second_ = true; }
  [[nodiscard]] Location location(const YAML::Mark& mark, std::size_t length) const {
    const std::size_t offset = skipped_ + static_cast<std::size_t>(std::max(mark.pos, 0));
    return {source_, std::min(offset, source_->text().size()), length};
  }

  void OnDocumentStart(const YAML::Mark& mark) override {
    if (!second_) return;
    out_.add({"second-document", "a second document begins here; a file holds one",
              "put it into a file of its own", location(mark, 1)});
    throw Refused{};
  }
  void OnDocumentEnd() override {}

  void OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) override {
    refuse_anchor(mark, anchor);
    YamlNode node;
    node.at = !frames_.empty() && frames_.back().expects_value() ? frames_.back().key_at : location(mark, 1);
    add(std::move(node));
  }
  void OnAlias(const YAML::Mark& mark, YAML::anchor_t) override { refuse_anchor(mark, 1); }

  void OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                const std::string& value) override {
    refuse_anchor(mark, anchor);
    refuse_tag(mark, tag);
    if (value.find(kSentinel) != std::string::npos) {
      out_.add({"unclosed-quote", "a quote is opened here and never closed", "close it on the same line",
                location(mark, 1)});
      throw Refused{};
    }
    YamlNode node;
    node.kind = YamlNode::Kind::scalar;
    node.plain = tag == "?";
    node.scalar = value;
    node.at = location(mark, 1);
    node.at.length = written_length(node);
    if (node.plain && (value.empty() || value == "~" || value == "null")) node.kind = YamlNode::Kind::null;
    add(std::move(node));
  }

  void OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                       YAML::EmitterStyle::value) override {
    start(mark, tag, anchor, YamlNode::Kind::sequence);
  }
  void OnSequenceEnd() override { finish(); }
  void OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                  YAML::EmitterStyle::value) override {
    start(mark, tag, anchor, YamlNode::Kind::map);
  }
  void OnMapEnd() override { finish(); }

 private:
  struct Frame {
    YamlNode node;
    bool has_key = false;
    bool twice = false;  // the key under way stands in this map already
    std::string key{};
    Location key_at{};
    std::unordered_map<std::string, std::size_t> index{};
    [[nodiscard]] bool expects_value() const { return node.kind == YamlNode::Kind::map && has_key; }
  };

  void refuse_anchor(const YAML::Mark& mark, YAML::anchor_t anchor) {
    if (anchor == 0) return;
    out_.add({"alias", "anchors (&) and aliases (*) are not used in these files",
              "write the value out where it is needed", location(mark, 1)});
    throw Refused{};
  }
  void refuse_tag(const YAML::Mark& mark, const std::string& tag) {
    if (tag.empty() || tag == "?" || tag == "!") return;
    out_.add(
        {"syntax", fmt::format("the tag {} has no meaning here", tag), "leave it out", location(mark, 1)});
    throw Refused{};
  }

  // How many bytes of the file the scalar takes, as well as it can be known from its start.
  [[nodiscard]] std::size_t written_length(const YamlNode& node) const {
    const std::string_view text = source_->text();
    const std::size_t start = node.at.offset;
    if (start >= text.size()) return 1;
    if (node.plain) {
      if (text.substr(start, node.scalar.size()) == node.scalar)
        return std::max<std::size_t>(node.scalar.size(), 1);
    } else if (const char quote = text[start]; quote == '"' || quote == '\'') {
      std::size_t end = start + 1;
      while (end < text.size() && text[end] != quote)
        end += std::size_t{quote == '"' && text[end] == '\\' ? 2U : 1U};
      return std::min(end + 1, text.size()) - start;
    }
    return source_->line_at(start).size() - (start - source_->line_start(start));
  }

  void start(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor, YamlNode::Kind kind) {
    refuse_anchor(mark, anchor);
    refuse_tag(mark, tag);
    if (frames_.size() >= kDeepest) {
      out_.add({"too-deep", fmt::format("nested deeper than {} levels", kDeepest), "", location(mark, 1)});
      throw Refused{};
    }
    Frame frame;
    frame.node.kind = kind;
    frame.node.at = location(mark, 1);
    frames_.push_back(std::move(frame));
  }
  void finish() {
    YamlNode done = std::move(frames_.back().node);
    frames_.pop_back();
    add(std::move(done));
  }

  void add(YamlNode node) {
    if (frames_.empty()) {
      root_ = std::move(node);
      seen_ = true;
      return;
    }
    Frame& frame = frames_.back();
    if (frame.node.kind == YamlNode::Kind::sequence) {
      frame.node.items.push_back(std::move(node));
    } else if (!frame.has_key) {
      take_key(frame, node);
    } else {
      frame.has_key = false;
      if (!frame.twice) frame.node.members.push_back({std::move(frame.key), frame.key_at, std::move(node)});
    }
  }

  void take_key(Frame& frame, YamlNode& node) {
    if (node.kind != YamlNode::Kind::scalar) {
      out_.add({"wrong-shape", "a key must be a word", "", node.at});
      throw Refused{};
    }
    frame.has_key = true;
    frame.key = node.scalar;
    frame.key_at = node.at;
    const auto [found, fresh] = frame.index.emplace(node.scalar, frame.node.members.size());
    frame.twice = !fresh;
    if (frame.twice) {
      Diagnostic twice{"duplicate-key", fmt::format("the key '{}' stands twice", node.scalar),
                       "keep one of the two", node.at};
      twice.also = frame.node.members[found->second].key_at;
      out_.add(std::move(twice));
    }
  }

  text::SourcePtr source_;
  std::size_t skipped_;  // bytes of the file that yaml-cpp never sees (a byte order mark)
  text::Diagnostics& out_;
  YamlNode root_;
  bool seen_ = false;
  bool second_ = false;
  std::vector<Frame> frames_;
};

// yaml-cpp reads from a stream; this one reads the text and then the sentinel without a copy of either.
class TextBuffer : public std::streambuf {
 public:
  TextBuffer(std::string_view text, std::string_view tail) : parts_{text, tail} { show(0); }

 protected:
  int_type underflow() override {
    if (gptr() == egptr() && next_ < 2) show(next_);
    return gptr() == egptr() ? traits_type::eof() : traits_type::to_int_type(*gptr());
  }

 private:
  void show(std::size_t part) {
    next_ = part + 1;
    char* begin = const_cast<char*>(parts_[part].data());  // NOLINT: the stream only reads
    setg(begin, begin, begin + parts_[part].size());
    if (parts_[part].empty() && next_ < 2) show(next_);
  }
  std::string_view parts_[2];
  std::size_t next_ = 0;
};

bool tab_in_indentation(const text::SourcePtr& source, text::Diagnostics& out) {
  const std::string_view text = source->text();
  bool indenting = true;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '\t' && indenting) {
      const std::size_t solid = text.find_first_not_of(" \t\r", i);
      if (solid != std::string_view::npos && text[solid] != '\n' && text[solid] != '#') {
        out.add({"syntax", "a tab in the indentation", "indent with spaces", Location{source, i, 1}});
        return true;
      }
    }
    indenting = text[i] == '\n' || (indenting && (text[i] == ' ' || text[i] == '\t'));
  }
  return false;
}

bool acceptable_text(const text::SourcePtr& source, text::Diagnostics& out) {
  const std::string_view text = source->text();
  if (text.size() > kLargestFile) {
    Diagnostic large{"too-large", "the file is larger than 4 MiB", "is this the right file?"};
    large.file = source->name();
    out.add(std::move(large));
    return false;
  }
  if (const auto bad = text::first_invalid_utf8(text)) {
    out.add({"not-utf8", "this byte is not UTF-8 text", "save the file as UTF-8", Location{source, *bad, 1}});
    return false;
  }
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto c = static_cast<unsigned char>(text[i]);
    if ((c < 0x20 && c != '\t' && c != '\n' && c != '\r') || c == 0x7F) {
      out.add({"syntax", "a control character", "is this a text file?", Location{source, i, 1}});
      return false;
    }
  }
  return !tab_in_indentation(source, out);
}

// A quote that is opened where a value begins and closed on a later line, before `end`. A forgotten quote
// ends at the next one that was meant to open, so that the reader stumbles far from the mistake.
std::optional<std::size_t> quote_over_lines(std::string_view text, std::size_t end) {
  char last = '\n';  // the last character that was no space
  for (std::size_t at = 0; at < std::min(end, text.size()); ++at) {
    const char c = text[at];
    if (c == '#' && (last == '\n' || (at > 0 && text[at - 1] == ' '))) {
      at = std::min(text.find('\n', at), text.size()) - 1;
    } else if ((c == '"' || c == '\'') && std::string_view(":[{,-\n").find(last) != std::string_view::npos) {
      std::size_t close = at + 1;
      while (close < text.size() && text[close] != c)
        close += std::size_t{c == '"' && text[close] == '\\' ? 2U : 1U};
      if (text.substr(at, close - at).find('\n') != std::string_view::npos) return at;
      at = close;
    }
    if (c != ' ') last = c;
  }
  return std::nullopt;
}

void report_syntax(const YAML::ParserException& e, const TreeBuilder& builder, text::Diagnostics& out) {
  Location at = builder.location(e.mark, 1);
  const std::size_t end = at.source->text().find_last_not_of(" \r\n");
  if (end != std::string_view::npos && at.offset > end + 1)
    at.offset = end + 1;  // not beyond the text, on the sentinel
  if (const auto quote = quote_over_lines(at.source->text(), at.offset)) {
    out.add({"unclosed-quote", "a quote is opened here and not closed on its line",
             "close it on the same line", Location{at.source, *quote, 1}});
    return;
  }
  // yaml-cpp notices a missing colon or a bad indent where the next thing begins, often a line late.
  out.add({"syntax", fmt::format("this is not YAML as it is meant here ({})", e.msg),
           "look at this line and the one above: a colon, a bracket, a quote or the indentation", at});
}

}  // namespace

std::optional<YamlNode> read_yaml(const text::SourcePtr& source, text::Diagnostics& out) {
  // Mixed up with the book beside it: what YAML says of that helps nobody.
  if (source->text().starts_with("{\"format\":\"clampbook book ")) {
    Diagnostic book{"wrong-format", "this is a record book, not a file of figures",
                    "the schedule is what was given to clampbook begin BOOK FILE, behind the book"};
    book.file = source->name();
    out.add(std::move(book));
    return std::nullopt;
  }
  if (!acceptable_text(source, out)) return std::nullopt;
  const std::size_t skipped = source->text().starts_with("\xEF\xBB\xBF") ? 3 : 0;
  const std::string tail = "\n# " + std::string(kSentinel) + "\n";
  TextBuffer buffer(source->text().substr(skipped), tail);
  std::istream stream(&buffer);
  TreeBuilder builder(source, skipped, out);
  try {
    YAML::Parser parser(stream);
    if (parser.HandleNextDocument(builder)) {
      builder.second_document();
      while (parser.HandleNextDocument(builder)) {
      }
    }
  } catch (const Refused&) {
    return std::nullopt;  // already reported
  } catch (const YAML::DeepRecursion& e) {
    out.add(
        {"too-deep", fmt::format("nested deeper than {} levels", kDeepest), "", builder.location(e.mark, 1)});
    return std::nullopt;
  } catch (const YAML::ParserException& e) {
    report_syntax(e, builder, out);
    return std::nullopt;
  }
  if (!builder.seen()) {
    Diagnostic empty{"wrong-format", "the file is empty",
                     "begin it with its kind, for example: format: fastener schedule 1"};
    empty.file = source->name();
    out.add(std::move(empty));
    return std::nullopt;
  }
  return builder.take();
}

}  // namespace clampbook::schedule
