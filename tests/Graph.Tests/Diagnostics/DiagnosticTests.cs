using System.Text;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes;
using Xunit;

namespace RenderGraph.Graph.Tests.Diagnostics;

public class DiagnosticTests
{
    [Fact]
    public void IsOneLineWhateverANameHolds() =>
        Assert.Equal(
            "song.json: RG202: there is no \"a\\u001b[2J\\nb\". Did you mean \"a\\u007f\"?".Replace("\\n", "\\u000a", StringComparison.Ordinal),
            new Diagnostic(DiagnosticCode.UnknownName, "song.json", default, "there is no \"a\u001b[2J\nb\"", "Did you mean \"a\u007f\"?").ToString());

    /// <summary>Found by tests/Fuzz (seed 1, inputs 9340 and 11811): a bad name was told about safely, but offered elsewhere as it was.</summary>
    [Fact]
    public void ABadNameThatIsOfferedElsewhereStaysOnItsLine()
    {
        var diagnostics = new DiagnosticList();
        var document = GraphReader.Read("song.json", Encoding.UTF8.GetBytes("""
            { "format": 1, "stems": { "ki\u0085ck": { "file": "kick.wav" } }, "nodes": { "mix": { "type": "mix", "in": [ "kick" ] } }, "outputs": { "mix": { "in": "mix", "file": "mix.wav" } } }
            """), BuiltInNodes.Catalog, diagnostics)!;
        GraphValidator.Validate(document, 48000, diagnostics);
        Assert.Contains(diagnostics.InOrder, found => found.Remedy == "Did you mean \"ki\\u0085ck\"?");
        Assert.All(diagnostics.InOrder, found => Assert.DoesNotContain(found.ToString(), char.IsControl));
    }
}
