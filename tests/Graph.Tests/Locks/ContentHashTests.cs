using RenderGraph.Graph.Locks;
using Xunit;

namespace RenderGraph.Graph.Tests.Locks;

public sealed class ContentHashTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("rendergraph-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private static byte[] Bytes(int count) => [.. Enumerable.Range(0, count).Select(index => (byte)((((long)index * index) + 7) % 251))];

    // What xxhsum -H2 of the hash's own authors prints (xxhsum 0.8.1) for the same bytes.
    [Theory]
    [InlineData(0, "99aa06d3014798d86001c324468d497f")]
    [InlineData(1_000_000, "f1b5de4d3d24ada16c39b64ab93127c9")]
    public void IsWhatXxhsumPrints(int count, string expected)
    {
        var path = Path.Combine(_folder, "bytes");
        File.WriteAllBytes(path, Bytes(count));
        Assert.Equal(new(expected, count), ContentHash.OfFile(path, CancellationToken.None));
        Assert.Equal(new(expected, count), ContentHash.Of(Bytes(count)));
    }

    [Fact]
    public void SeveralFilesGiveTheSameInTheirOrderOnAnyNumberOfThreads()
    {
        var paths = Enumerable.Range(0, 9).Select(index => Path.Combine(_folder, $"{index}")).ToList();
        foreach (var (path, index) in paths.Select((path, index) => (path, index)))
            File.WriteAllBytes(path, Bytes(300_000 * index));
        paths.Insert(4, Path.Combine(_folder, "not there"));
        var expected = paths.ConvertAll(path => ContentHash.OfFile(path, CancellationToken.None));
        Assert.Null(expected[4]);
        Assert.Equal(9, expected.OfType<ContentHash>().Distinct().Count());
        Assert.Equal(expected, ContentHash.OfFiles(paths, 1, CancellationToken.None));
        Assert.Equal(expected, ContentHash.OfFiles(paths, 4, CancellationToken.None));
    }

    [Fact]
    public void WhatIsNoFileHasNoContent()
    {
        Assert.Null(ContentHash.OfFile(_folder, CancellationToken.None));
        Assert.Null(ContentHash.OfFile("", CancellationToken.None));
        File.CreateSymbolicLink(Path.Combine(_folder, "link"), Path.Combine(_folder, "gone"));
        Assert.Null(ContentHash.OfFile(Path.Combine(_folder, "link"), CancellationToken.None));
    }

    [Fact]
    public void AnInterruptEndsIt()
    {
        var path = Path.Combine(_folder, "bytes");
        File.WriteAllBytes(path, Bytes(10));
        Assert.Throws<OperationCanceledException>(() => ContentHash.OfFiles([path, path], 2, new CancellationToken(canceled: true)));
    }
}
