namespace RenderGraph.Graph.Contracts;

/// <summary>What a treatment changed.</summary>
/// <param name="Before">What was measured of the song before.</param>
/// <param name="After">The same of the song after, in the same order.</param>
/// <param name="Between">What only the two together tell.</param>
/// <param name="Parts">How the level of each part changed.</param>
/// <param name="Verdict">What that amounts to.</param>
public sealed record SongChange(
    IReadOnlyList<Measurement> Before, IReadOnlyList<Measurement> After, IReadOnlyList<Measurement> Between, IReadOnlyList<PartChange> Parts, Verdict Verdict);

/// <summary>How a part changed in the song.</summary>
/// <param name="Part">Its name.</param>
/// <param name="ChangeLu">Its K-weighted level after over that before.</param>
/// <param name="IsLow">Whether most of it lies in the low end, where the ear is least sensitive.</param>
public sealed record PartChange(string Part, Measurement ChangeLu, bool IsLow);
