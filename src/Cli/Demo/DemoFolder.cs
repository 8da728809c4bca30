using System.Reflection;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;

namespace RenderGraph.Cli.Demo;

/// <summary>The folder that the demo lives in: the stems, and every example graph beside them, so that all of them can be rendered.</summary>
internal static class DemoFolder
{
    public const string DefaultName = "rendergraph-demo";
    public const string MainGraph = "low-tide-ferry.json";
    private const string ResourcePrefix = "graphs/";

    /// <summary>The example graphs by file name, byte for byte as in the project's own graphs folder.</summary>
    public static IReadOnlyList<string> Graphs { get; } =
    [
        .. Assembly.GetExecutingAssembly().GetManifestResourceNames()
            .Where(name => name.StartsWith(ResourcePrefix, StringComparison.Ordinal)).Select(name => name[ResourcePrefix.Length..]).Order(StringComparer.Ordinal),
    ];

    /// <summary>Writes stems and graphs. A folder that the demo wrote before is written anew; one with anything else in it is left alone.</summary>
    /// <exception cref="OutputException">The folder is not the demo's, a graph in it was changed by hand, or it cannot be written to.</exception>
    public static void Write(string folder, IAudioFiles files, CancellationToken cancellation)
    {
        try
        {
            RefuseForeign(folder);
            var stems = Directory.CreateDirectory(Path.Combine(folder, "stems")).FullName;
            foreach (var graph in Graphs)
                File.WriteAllBytes(Path.Combine(folder, graph), Content(graph));
            DemoSong.WriteStems(stems, files, cancellation);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new OutputException(Say.Path(folder), "the demo's folder could not be written to", $"Choose another folder with --out ({fault.Message.TrimEnd('.')})", fault);
        }
    }

    private static void RefuseForeign(string folder)
    {
        if (File.Exists(folder))
            throw new OutputException(Say.Path(folder), "this is a file, but the demo needs a folder", "Choose another name with --out");
        for (var outer = Path.GetDirectoryName(folder); outer is not null; outer = Path.GetDirectoryName(outer))
        {
            if (File.Exists(outer))
                throw new OutputException(Say.Path(folder), $"the demo's folder would lie in {Say.Path(outer)}, which is a file", "Choose another folder with --out");
        }

        if (!Directory.Exists(folder) || !Directory.EnumerateFileSystemEntries(folder).Any())
            return;
        if (!File.Exists(Path.Combine(folder, MainGraph)))
            throw new OutputException(Say.Path(folder), "this folder holds files that are not the demo's", "Choose a new or empty folder with --out");

        foreach (var graph in Graphs.Where(graph => File.Exists(Path.Combine(folder, graph)) && !File.ReadAllBytes(Path.Combine(folder, graph)).AsSpan().SequenceEqual(Content(graph))))
        {
            throw new OutputException(
                Say.Path(Path.Combine(folder, graph)), "this graph is not as the demo wrote it, and would be overwritten",
                "Render it with rendergraph render, or give it another name first");
        }
    }

    private static byte[] Content(string graph)
    {
        using var resource = Assembly.GetExecutingAssembly().GetManifestResourceStream(ResourcePrefix + graph)!;
        var content = new byte[resource.Length];
        resource.ReadExactly(content);
        return content;
    }
}
