using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes;
using RenderGraph.Nodes.Measures;
using Xunit;

namespace RenderGraph.Graph.Tests.Broken;

/// <summary>The gallery: see README.md beside this file.</summary>
public sealed class BrokenGraphTests
{
    private static readonly string Folder = Path.Combine(AppContext.BaseDirectory, "Broken");

    public static TheoryData<string> Names =>
        [.. Directory.EnumerateFiles(Folder, "*.json").Select(path => Path.GetFileNameWithoutExtension(path)!).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Names))]
    public void TellsEveryFaultAndWritesNothing(string name)
    {
        var before = Entries();
        var diagnostics = new DiagnosticList();
        using var loaded = LoadedGraph.Load(Path.Combine(Folder, name + ".json"), null, null, BuiltInNodes.Catalog, new GalleryStems(Folder), new AnchorMeasuring(CancellationToken.None), diagnostics);

        var told = string.Concat(diagnostics.InOrder.Select(found => Short(found.ToString()) + "\n"));
        var expectedPath = Path.Combine(Folder, name + ".expected.txt");
        Assert.True(File.Exists(expectedPath), $"{name}.expected.txt is missing. The messages are:\n{told}");
        Assert.Equal(File.ReadAllText(expectedPath).ReplaceLineEndings("\n"), told);
        Assert.Equal(diagnostics.HasErrors, loaded is null);
        Assert.Equal(before, Entries());
    }

    [Fact]
    public void EveryMessageIsASentenceWithARemedy()
    {
        Assert.NotEmpty(Messages());
        Assert.All(Messages(), message => Assert.Matches(@"^([a-z0-9-]+\.json|hits/[a-z0-9-]+\.csv)(:\d+:\d+)?: RG\d{3}:( warning:)? \S.*[^.]\. [A-Z].*[^.][.?]$", message));
    }

    [Fact]
    public void EveryCodeThatAGraphCanRaiseIsShown()
    {
        // A recipe's and a song's faults have a gallery of their own, Binding/Broken. The others come later, from reading samples and writing files, or from a lock (Locks); and of the graph's own file that cannot be had, LoadedGraphTests tells.
        DiagnosticCode[] elsewhere =
            [DiagnosticCode.StemNotFinite, DiagnosticCode.GraphUnreadable, DiagnosticCode.OutputUnwritable, DiagnosticCode.Clipped, DiagnosticCode.LoudnessMissed, DiagnosticCode.GateFailed,
            DiagnosticCode.BadPattern, DiagnosticCode.NothingMatches, DiagnosticCode.MatchedTwice, DiagnosticCode.LeftOver,
            DiagnosticCode.LockUnreadable, DiagnosticCode.LockUnwritten, DiagnosticCode.LockDiffers];
        var shown = Messages().Select(message => message.Split(": ")[1]).ToHashSet();
        Assert.All(Enum.GetValues<DiagnosticCode>().Except(elsewhere), code => Assert.Contains(code.Text(), shown));
    }

    private static IEnumerable<string> Messages() =>
        Directory.EnumerateFiles(Folder, "*.expected.txt").SelectMany(File.ReadAllLines);

    private static string Short(string message) => message.Replace(Folder + Path.DirectorySeparatorChar, "", StringComparison.Ordinal);

    private static List<string> Entries() => [.. Directory.EnumerateFileSystemEntries(Folder, "*", SearchOption.AllDirectories).Order(StringComparer.Ordinal)];
}
