using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes;
using Xunit;

namespace RenderGraph.Graph.Tests.Binding;

/// <summary>The gallery of recipes and songs that do not fit: see README.md in the folder Broken.</summary>
public sealed class BrokenRecipeTests
{
    private static readonly string Folder = Path.Combine(AppContext.BaseDirectory, "Binding", "Broken");

    public static TheoryData<string> Names =>
        [.. Directory.EnumerateFiles(Folder, "*.recipe.json").Select(path => Path.GetFileName(path)[..^".recipe.json".Length]).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Names))]
    public void TellsEveryFault(string name)
    {
        var diagnostics = new DiagnosticList();
        var files = File.Exists(At(name, "files.txt")) ? File.ReadAllLines(At(name, "files.txt")) : ["kick.wav", "sub.wav"];
        var song = File.Exists(At(name, "song.json")) ? ("song.json", File.ReadAllBytes(At(name, "song.json"))) : ((string, ReadOnlyMemory<byte>)?)null;
        var bound = Recipe.Read("recipe.json", File.ReadAllBytes(At(name, "recipe.json")), BuiltInNodes.Catalog, diagnostics)?.Bind(new("Harbour Lights", files, song), diagnostics);

        var told = string.Concat(diagnostics.InOrder.Select(found => found + "\n"));
        Assert.True(File.Exists(At(name, "expected.txt")), $"{name}.expected.txt is missing. The messages are:\n{told}");
        Assert.Equal(File.ReadAllText(At(name, "expected.txt")).ReplaceLineEndings("\n"), told);
        Assert.Equal(diagnostics.HasErrors, bound is null);
    }

    [Fact]
    public void EveryMessageIsASentenceWithARemedy()
    {
        var messages = Directory.EnumerateFiles(Folder, "*.expected.txt").SelectMany(File.ReadAllLines).ToList();
        Assert.NotEmpty(messages);
        Assert.All(messages, message => Assert.Matches(@"^(recipe|song)\.json(:\d+:\d+)?: RG\d{3}:( warning:)? \S.*[^.]\. [A-Z].*[^.][.?]$", message));
        foreach (var code in (DiagnosticCode[])[DiagnosticCode.NotBound, DiagnosticCode.BadPattern, DiagnosticCode.NothingMatches, DiagnosticCode.MatchedTwice, DiagnosticCode.LeftOver])
            Assert.Contains(messages, message => message.Contains($" {code.Text()}: ", StringComparison.Ordinal));
    }

    private static string At(string name, string ending) => Path.Combine(Folder, $"{name}.{ending}");
}
