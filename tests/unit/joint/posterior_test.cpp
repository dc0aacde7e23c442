#include <clampbook/joint/odd_one_out.h>
#include <clampbook/joint/posterior.h>

#include "tests/support/catch.h"
#include "tests/support/simulated_bolts.h"

using namespace clampbook;
using namespace clampbook::tests;

namespace {

// Four standard errors of a share that was measured on so many independent groups: a test that fails once in
// thousands of seeds.
double room(double share, std::size_t groups) {
  return 4 * std::sqrt(share * (1 - share) / static_cast<double>(groups));
}

}  // namespace

// The limits are the published accuracy of the method (docs/accuracy.md) with a quarter more; 200 bolts each.
TEST_CASE("estimates of simulated bolts are as good as they say") {
  struct Limits {
    double bias, deviation, p90;
  };
  const std::vector<Limits> limits{{2, 5.5, 9}, {2, 5.5, 9}, {2, 7.5, 12.5}, {2, 11, 16.5}};
  const std::vector<SimulatedJoint> joints = simulated_joints(0.21);
  for (std::size_t i = 0; i < joints.size(); ++i) {
    for (const std::size_t together : {std::size_t{1}, std::size_t{8}}) {
      INFO(joints[i].name << ", " << together << " together");
      const std::size_t groups = 200 / together;
      const EstimateFigures f = figures_of(joints[i], {}, groups, together, 7);
      CHECK(std::fabs(f.bias) < limits[i].bias);
      CHECK(f.deviation < limits[i].deviation);
      CHECK(f.p90 < limits[i].p90);
      CHECK(f.coverage > 0.90 - room(0.9, groups));
      CHECK(f.yield_right > 0.97);
      CHECK(f.withheld < 0.01);
    }
  }
}

TEST_CASE("an interval is wider where less was read") {
  const SimulatedJoint joint = simulated_joints(0.21)[2];
  Simulator simulator(3);
  simulator.new_group({});
  Truth truth;
  const BoltEvidence with = simulator.pull(joint, truth);
  BoltEvidence without = with;
  without.final.reset();
  const auto full = estimate_group(joint.prior, std::vector{with}).bolts.front();
  const auto forward = estimate_group(joint.prior, std::vector{without}).bolts.front();
  REQUIRE(full);
  REQUIRE(forward);
  CHECK(full->friction);
  CHECK_FALSE(forward->friction);
  CHECK(full->preload.p95 - full->preload.p5 < forward->preload.p95 - forward->preload.p5);
}

// With a stretch the torque at which it began says nothing of the end: a wrench that reads too much is not
// measured by itself.
TEST_CASE("a stretch forgets the torque that it began from") {
  const SimulatedJoint joint = simulated_joints(0.21)[0];
  const auto interval = [&](double start) {
    BoltEvidence e{units::of(start, units::newton_metre)};
    e.stretch = units::of(60, units::micrometre);
    e.final = units::of(40, units::newton_metre);
    return estimate_group(joint.prior, std::vector{e}).bolts.front();
  };
  const auto early = interval(5), late = interval(15);
  REQUIRE(early);
  REQUIRE(late);
  CHECK_THAT(late->preload.p5 / early->preload.p5, WithinAbs(1, 1e-6));
  CHECK_THAT(late->preload.p95 / early->preload.p95, WithinAbs(1, 1e-6));
}

TEST_CASE("readings that no friction explains get no estimate") {
  const SimulatedJoint joint = simulated_joints(0.21)[0];
  Simulator simulator(4);
  simulator.new_group({});
  Truth truth;
  std::vector<BoltEvidence> group;
  for (int i = 0; i < 4; ++i) group.push_back(simulator.pull(joint, truth));
  group[2].final = units::of(400, units::newton_metre);
  const GroupPosterior posterior = estimate_group(joint.prior, group);
  CHECK(posterior.bolts[0]);
  CHECK_FALSE(posterior.bolts[2]);
}

// Rounding took these to 1.0000000000000004 and more: the part was summed in another order than the whole.
TEST_CASE("a probability never leaves 0 to 1") {
  const SimulatedJoint joint = simulated_joints(0.21)[0];
  std::size_t certain = 0;
  for (const auto& [angle, final] :
       std::vector<std::pair<double, double>>{{132, 40}, {156, 60}, {192, 80}, {204, 40}}) {
    BoltEvidence e{units::of(10, units::newton_metre)};
    e.angles = {units::of(angle, units::degree)};
    e.final = units::of(final, units::newton_metre);
    const auto bolt = estimate_group(joint.prior, std::vector{e}).bolts.front();
    REQUIRE(bolt);
    CHECK(bolt->yielded <= 1);
    if (bolt->yielded == 1) ++certain;
  }
  CHECK(certain > 0);
}

TEST_CASE("a torque alone is refused as evidence") {
  const SimulatedJoint joint = simulated_joints(0.21)[0];
  BoltEvidence e{units::of(30, units::newton_metre)};
  CHECK_THROWS_AS(estimate_group(joint.prior, std::vector{e}), DomainError);
}

TEST_CASE("the friction of a group that is off is found and its bolts help each other") {
  const SimulatedJoint joint = simulated_joints(0.21)[2];
  Simulator simulator(5);
  Lot lot;
  lot.friction = 0.24;  // twice what the prior says
  lot.stiffness = lot.wrench = 0;
  simulator.new_group(lot);
  Truth truth;
  std::vector<BoltEvidence> group;
  for (int i = 0; i < 8; ++i) group.push_back(simulator.pull(joint, truth));
  const GroupPosterior posterior = estimate_group(joint.prior, group);
  REQUIRE(posterior.friction_ratio);
  CHECK(posterior.friction_ratio->p5 > 1.5);
  CHECK(posterior.friction_ratio->p5 < 2);
  CHECK(posterior.friction_ratio->p95 > 2);
}

TEST_CASE("sound groups raise an alarm in at most five of a hundred") {
  constexpr std::size_t kGroups = 1000;
  for (const SimulatedJoint& joint : simulated_joints(0.21)) {
    for (const std::size_t bolts : {std::size_t{4}, std::size_t{8}, std::size_t{14}}) {
      INFO(joint.name << ", " << bolts << " bolts");
      Simulator simulator(11);
      std::size_t alarms = 0, found = 0;
      Truth truth;
      for (std::size_t g = 0; g < kGroups; ++g) {
        simulator.new_group({});
        std::vector<BoltEvidence> group;
        for (std::size_t b = 0; b < bolts; ++b) group.push_back(simulator.pull(joint, truth));
        alarms += odd_bolts(group).empty() ? 0U : 1U;
        group[g % bolts] = simulator.pull(joint, truth, 1.8);  // dry
        const auto odd = odd_bolts(group);
        found += !odd.empty() && odd.front().bolt == g % bolts ? 1U : 0U;
      }
      CHECK(static_cast<double>(alarms) / kGroups < 0.05 + room(0.05, kGroups));
      // A short elastic turn says least of friction.
      const bool short_turn = joint.angles.size() == 1 && joint.angles[0] < units::of(20, units::degree);
      CHECK(static_cast<double>(found) / kGroups > (short_turn ? 0.7 : 0.95));
    }
  }
}

TEST_CASE("groups that are too small or too large say nothing of odd ones") {
  const SimulatedJoint joint = simulated_joints(0.21)[0];
  Simulator simulator(12);
  simulator.new_group({});
  Truth truth;
  std::vector<BoltEvidence> group;
  for (std::size_t b = 0; b < kMostAlike + 1; ++b) group.push_back(simulator.pull(joint, truth));
  CHECK_FALSE(oddest_bolt(group));
  group.resize(kMostAlike);
  CHECK(oddest_bolt(group));
  group.resize(kFewestAlike - 1);
  CHECK_FALSE(oddest_bolt(group));
}

TEST_CASE("a bolt that was turned twice stands out while it is elastic and not past its yield point") {
  constexpr std::size_t kGroups = 300;
  const std::vector<SimulatedJoint> joints = simulated_joints(0.21);
  const auto found = [&](const SimulatedJoint& joint) {
    SimulatedJoint twice = joint;
    twice.angles.insert(twice.angles.end(), joint.angles.begin(), joint.angles.end());
    Simulator simulator(13);
    std::size_t out = 0;
    Truth truth;
    for (std::size_t g = 0; g < kGroups; ++g) {
      simulator.new_group({});
      std::vector<BoltEvidence> group;
      for (std::size_t b = 0; b < 7; ++b) group.push_back(simulator.pull(joint, truth));
      group.push_back(simulator.pull(twice, truth));
      group.back().angles.resize(joint.angles.size());  // nobody knows of the second turn
      const auto odd = odd_bolts(group);
      out += !odd.empty() && odd.front().bolt == 7 ? 1U : 0U;
    }
    return static_cast<double>(out) / kGroups;
  };
  CHECK(found(joints[2]) > 0.9);   // 35 degrees twice
  CHECK(found(joints[0]) < 0.25);  // past yield the torque is flat: said in docs/accuracy.md, held here
}
