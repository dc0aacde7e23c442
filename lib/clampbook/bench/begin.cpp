#include <clampbook/bench/begin.h>
#include <clampbook/bench/entry.h>
#include <clampbook/bench/key.h>
#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/prepare.h>
#include <clampbook/record/seal.h>
#include <clampbook/review/operation.h>
#include <clampbook/review/passes.h>
#include <clampbook/schedule/build.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/error.h>
#include <clampbook/text/utf8.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

namespace clampbook::bench {

namespace {

// The schedule as it will be kept: whole, or for some bolts.
struct Prepared {
  text::SourcePtr source;
  std::string sha256;
  std::optional<std::string> only;
  std::shared_ptr<const plan::Plan> plan{};
  std::optional<review::BuildPart> build{};  // of an operation
};

const schedule::Operation& find_operation(const schedule::Build& build, const Word& word) {
  const std::string& name = word.text;
  if (const schedule::Operation* found = build.find(name)) return *found;
  std::vector<std::string_view> names;
  for (const schedule::Operation& o : build.operations) names.push_back(o.name);
  std::string help = text::did_you_mean(name, names);
  if (help.empty()) help = "the build has " + text::list_words(names, "and");
  throw InputError(text::Diagnostic{"unknown-operation", fmt::format("operation '{}' is not known", name),
                                    std::move(help), word.place()});
}

// The bolts that the pass is for: those of --only, which must be among those of the operation.
std::vector<std::size_t> bolts_of(const BeginRequest& request, const schedule::Schedule& schedule,
                                  const schedule::Operation* operation, std::optional<std::string>& only) {
  std::vector<std::size_t> out = operation != nullptr ? operation->only : std::vector<std::size_t>();
  if (!out.empty()) only = fmt::format("{}", fmt::join(operation->only_ids(), ","));
  if (!request.only) return out;
  if (schedule.bolts.empty())
    throw UsageError(
        text::Diagnostic{"bad-option", "--only has no meaning for an operation without bolts", ""});
  std::vector<std::size_t> chosen = schedule::select_bolts(schedule, request.only->source());
  for (const std::size_t bolt : chosen)
    if (!out.empty() && std::find(out.begin(), out.end(), bolt) == out.end())
      throw InputError(text::Diagnostic{
          "not-in-pass",
          fmt::format("bolt {} is not in operation '{}'", schedule.bolts[bolt].id, operation->name),
          fmt::format("its bolts are {}", *only), request.only->place()});
  only = request.only->text;
  return chosen;
}

void prepare_plan(Prepared& out, const schedule::Schedule& schedule, const schedule::Operation* operation,
                  const BeginRequest& request) {
  out.source = schedule.source;
  out.sha256 = record::sha256(out.source->text());
  std::optional<schedule::ToolList> tools;
  if (request.tools) tools = schedule::read_tools(request.tools);
  const std::vector<std::size_t> bolts = bolts_of(request, schedule, operation, out.only);
  out.plan = plan::prepare(schedule, bolts, tools ? &*tools : nullptr).plan;
}

Prepared prepare(const BeginRequest& request) {
  Prepared out;
  const text::SourcePtr& source = request.file;
  const std::optional<Word>& name = request.operation;
  if (!schedule::is_build(source->text())) {
    if (name)
      throw UsageError(text::Diagnostic{"bad-option", "--operation belongs to a build; this file is none",
                                        "leave it out", name->place()});
    prepare_plan(out, schedule::read_schedule(source), nullptr, request);
    return out;
  }
  const schedule::Build build = schedule::read_build(source);
  if (!name)
    throw UsageError(text::Diagnostic{"missing-argument", "begin needs --operation NAME for a build",
                                      "clampbook plan FILE lists its operations"});
  const schedule::Operation& operation = find_operation(build, *name);
  prepare_plan(out, operation.schedule, &operation, request);
  out.build = review::build_part(build, operation, record::sha256(source->text()));
  return out;
}

std::string begin_digest(const BeginRequest& request) {
  TypedWords options;
  const auto add = [&](std::string_view name, const std::optional<std::string>& text) {
    if (text) options.emplace_back(name, *text);
  };
  const auto text_of = [](const std::optional<Word>& word) {
    return word ? std::optional(word->text) : std::nullopt;
  };
  add("--because", request.words.because);
  add("--by", request.words.by);
  add("--note", request.words.note);
  add("--only", text_of(request.only));
  add("--operation", text_of(request.operation));
  if (request.tools) add("--tools", request.tools->name());
  if (request.trial) add("--trial", "");
  return bench::typed_digest("begin", {{"FILE", request.file->name()}}, options);
}

std::array<record::Draft, 2> lines_of(std::int64_t number, const Prepared& prepared,
                                      const BeginRequest& request, record::Timestamp now) {
  record::Begun begun{number, prepared.plan->title};
  begun.file = text::as_utf8(prepared.source->name());
  begun.sha256 = prepared.sha256;
  begun.trial = request.trial;
  begun.only = prepared.only;
  begun.program = request.program;
  begun.schedule = prepared.source->text();
  if (request.tools) begun.tools = request.tools->text();
  if (prepared.build) {
    begun.operation = prepared.build->operation;
    begun.build = prepared.build->build;
  }
  return {record::Draft{now, record::Box(std::move(begun)),
                        remarks_of(request.words, request.key, begin_digest(request))},
          record::Draft{now, record::Box(record::Planned{number, plan::to_record(*prepared.plan)})}};
}

// What stands against beginning the pass at all. It was begun all the same: first recorded, then judged.
std::vector<review::Finding> against(const record::Book& book, const std::vector<review::Pass>& passes,
                                     const review::Pass& pass) {
  std::vector<review::Finding> out;
  if (!pass.build) return out;
  for (review::Finding& f : review::find_findings(book, passes, pass, review::Until::so_far))
    if (f.seq == pass.seq && f.severity != review::Severity::note) out.push_back(std::move(f));
  return out;
}

}  // namespace

Begun begin(const std::string& path, const BeginRequest& request, const Clock& clock) {
  require_key(request.key);
  const Prepared prepared = prepare(request);
  static_cast<void>(clock());  // it can be refused too
  record::BookFile file(path, record::BookFile::Missing::create);
  Keys keys;
  keys.follow(file.book());
  review::Passes passes;
  passes.take(file.book());
  const std::size_t before = file.book().events.size();
  Begun out;
  out.only = prepared.only;
  const record::Event* stands = keys.find(request.key, begin_digest(request), path);
  out.repeated = stands != nullptr;
  std::int64_t number = out.repeated ? stands->pass() : 0;
  if (out.repeated) {
    out.seq = stands->seq;
  } else {
    number = passes.all().empty() ? 1 : passes.all().back().number + 1;
    const record::Timestamp now = clock();
    out.seq = file.append(lines_of(number, prepared, request, now), now);
  }
  for (std::size_t i = before; i < file.book().events.size(); ++i) passes.take(file.book().events[i]);
  out.passes = std::move(passes).all();
  out.pass = &*std::find_if(out.passes.begin(), out.passes.end(),
                            [&](const review::Pass& p) { return p.number == number; });
  out.findings = against(file.book(), out.passes, *out.pass);
  return out;
}

}  // namespace clampbook::bench
