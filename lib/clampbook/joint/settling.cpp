#include <clampbook/joint/settling.h>

#include <clampbook/joint/domain.h>

#include <algorithm>

namespace clampbook::joint {

namespace {

struct Row {
  double thread;
  double seat;
  double inner;
};

constexpr Row kEmbedding[] = {
#include <clampbook/joint/data/embedding.inc>
};

}  // namespace

Length embedding(Roughness roughness, Receiver receiver, int inner_faces) {
  require_between(inner_faces, 0, 100, "inner faces");
  const Row& row = kEmbedding[static_cast<std::size_t>(roughness)];
  const double seats = receiver == Receiver::nut ? 2 : 1;
  return units::of(row.thread + seats * row.seat + inner_faces * row.inner, units::micrometre);
}

int inner_faces(const ClampedParts& parts) {
  const int layers = static_cast<int>(std::min<std::size_t>(parts.layers.size(), 100));
  return parts.receiver == Receiver::tapped ? layers : std::max(layers - 1, 0);
}

Force settling_loss(Length embedding, Resilience bolt, Resilience parts) {
  require_not_negative(embedding, "embedding");
  return embedding /
         (require_positive(bolt, "bolt resilience") + require_not_negative(parts, "parts resilience"));
}

Force settled_preload(Force preload, Length embedding, Resilience bolt, Resilience parts) {
  require_not_negative(preload, "preload");
  return std::max<Force>(preload - settling_loss(embedding, bolt, parts), units::of(0, units::newton));
}

}  // namespace clampbook::joint
