using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Document;

/// <summary>The song of a graph, before any master processing, where it is compared with itself untreated.</summary>
/// <param name="Output">The output that it goes into.</param>
/// <param name="Create">Makes the comparer.</param>
public sealed record ComparedSong(string Output, Func<ISongComparer> Create)
{
    /// <summary>Whether nothing else is wanted: nothing is written and nothing measured.</summary>
    public bool IsAlone { get; init; }

    /// <summary>How much of the song is heard at most, in stretches spread over it; null: all of it.</summary>
    public double? MostSeconds { get; init; }

    /// <summary>The anchor's onsets in what is heard, in the song's frames, if they are not known besides; null until they are looked for.</summary>
    public IReadOnlyList<long>? HitFrames { get; init; }

    /// <summary>Where the anchor's low note sits, if that is not known besides; null if it is, or cannot be told.</summary>
    public double? FrequencyHz { get; init; }

    /// <summary>The output that is the song: the one that most stems reach; of several the one with the least between it and the last mix, then by name. Null if no output comes from a mix.</summary>
    public static string? OutputOf(GraphDocument document)
    {
        var paths = new GraphPaths(document);
        return document.Outputs
            .Where(output => output.Kind == OutputKind.Signal)
            .Select(output => (Output: output, Parts: StemParts.Of(document, output)))
            .Where(found => found.Parts is not null)
            .OrderByDescending(found => paths.StemsBehind(found.Output.From.Value).Count).ThenBy(found => found.Parts!.Behind.Count).ThenBy(found => found.Output.Id, StringComparer.Ordinal)
            .Select(found => found.Output.Id).FirstOrDefault();
    }
}
