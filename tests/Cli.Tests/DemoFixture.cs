using RenderGraph.Cli.Demo;
using Xunit;

namespace RenderGraph.Cli.Tests;

/// <summary>The demo, run once for all tests that need its stems or look at what it says.</summary>
public sealed class DemoFixture : IDisposable
{
    private readonly TempFolder _folder = new();
    private readonly CommandRun _run;

    public DemoFixture()
    {
        Folder = _folder["demo"];
        _run = CommandRun.Of("demo", "--out", Folder);
    }

    /// <summary>Where the demo was written.</summary>
    public string Folder { get; }

    internal CommandRun Run => _run;

    public string Graph(string name) => Path.Combine(Folder, name);

    public string MainGraph => Graph(DemoFolder.MainGraph);

    public void Dispose() => _folder.Dispose();
}

[CollectionDefinition(Name)]
public sealed class UsesTheDemo : ICollectionFixture<DemoFixture>
{
    public const string Name = "the demo";
}
