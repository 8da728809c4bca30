using RenderGraph.Graph.Contracts;

namespace RenderGraph.Cli.Comparing;

/// <summary>A song before and after, and what was found of it.</summary>
/// <param name="Before">What is before, as it is called.</param>
/// <param name="After">What is after.</param>
/// <param name="SampleRateHz">Of the frames.</param>
/// <param name="HeardFrames">How much was compared.</param>
/// <param name="Change">What was found.</param>
internal sealed record Comparison(string Before, string After, int SampleRateHz, long HeardFrames, SongChange Change)
{
    /// <summary>How much later the second plays what the first does; null where both begin with their song.</summary>
    public long? ShiftFrames { get; init; }

    /// <summary>What else there is to know, in sentences.</summary>
    public IReadOnlyList<string> Notes { get; init; } = [];
}
