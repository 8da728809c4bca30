using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Rendering;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.Measures.Comparing;

namespace RenderGraph.Cli.Comparing;

/// <summary>A graph's song and its parts, rendered into a temporary folder as 32-bit floating point: two of them can then be heard in step, with flat memory.</summary>
internal sealed class SpooledSong : IDisposable
{
    private const int BlockFrames = 4096;

    private const string Song = "song", Parts = "parts", WholeSong = ""; // no part has that name

    private readonly Dictionary<string, IStemReader> _readers = new(StringComparer.Ordinal);
    private readonly GraphDocument _document;
    private readonly HashSet<string> _treated;

    /// <summary>Renders.</summary>
    /// <exception cref="StemException">A stem failed.</exception>
    /// <exception cref="OutputException">There is no room for the render.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public SpooledSong(CommandSetting setting, OpenGraph open, string output, string folder)
    {
        _document = open.Loaded.Document;
        var parts = StemParts.Of(_document, _document.Outputs.First(found => found.Id == output))!;
        var point = new Located<string>(parts.Point, default);
        var document = _document with
        {
            Outputs =
            [
                new OutputEntry(Song, default, point, new(Song, default), SampleEncoding.Float32, null, 0),
                new OutputEntry(Parts, default, point, new(Parts, default), SampleEncoding.Float32, null, 0) { Kind = OutputKind.Stems },
            ],
            Measured = [],
            Compared = null,
        };
        var plan = OpenGraph.PlanOf(open.Loaded, document);
        LengthFrames = plan.LengthFrames;
        _treated = [.. parts.Names.Where(part => _document.Stems.All(stem => stem.Id != part) || parts.SignalsOf(part).Any(signal => _document.Stems.All(stem => stem.Id != signal)))];

        Directory.CreateDirectory(folder);
        var targets = plan.Writes.Select((write, index) => (write.Output, Index: index)).ToDictionary(
            write => write.Output, write => Path.Combine(folder, FormattableString.Invariant($"{write.Index}.wav")));
        var files = new DiskAudioFiles();
        Renderer.Render(plan, open.Loaded.Stems.Readers, targets, files, new RenderOptions(), progress: null, setting.Cancellation);
        foreach (var (name, path) in targets)
            _readers.Add(name == Song ? WholeSong : name[(Parts.Length + 1)..], files.OpenStem(new(path), (_, _, _, _) => { })!);
    }

    /// <summary>Of the song.</summary>
    public long LengthFrames { get; }

    /// <summary>From one to the other.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static SongChange Compare(SpooledSong before, SpooledSong after, CancellationToken cancellation)
    {
        var (format, heard) = before.FormatWith(after);
        var comparer = new SongComparer();
        comparer.Prepare(format);
        var blocks = heard.ConvertAll(reader => Signal.Allocate(reader.Format.Channels, BlockFrames));
        var signals = new Signal[heard.Count];
        var frames = Math.Max(before.LengthFrames, after.LengthFrames);
        for (var frame = 0L; frame < frames; frame += BlockFrames)
        {
            cancellation.ThrowIfCancellationRequested();
            for (var index = 0; index < signals.Length; index++)
            {
                signals[index] = blocks[index].Slice(0, (int)Math.Min(BlockFrames, frames - frame));
                heard[index].Read(frame, signals[index]);
            }

            comparer.Hear(signals);
        }

        return comparer.Conclude();
    }

    /// <summary>Closes the files.</summary>
    public void Dispose()
    {
        foreach (var reader in _readers.Values)
            reader.Dispose();
    }

    private (CompareFormat Format, List<IStemReader> Heard) FormatWith(SpooledSong after)
    {
        List<IStemReader> heard = [after._readers[WholeSong], _readers[WholeSong]];
        ComparedAnchor? anchor = null;
        string? reason = null;
        var name = _document.Anchor?.Stem.Value;
        if (name is null || after._document.Anchor?.Stem.Value != name)
        {
            reason = name is null ? "the first graph names no anchor" : "the two graphs do not name the same anchor";
        }
        else if (!_readers.TryGetValue(name, out var one) || !after._readers.TryGetValue(name, out var two))
        {
            reason = $"\"{name}\" is not a part by itself in both songs";
        }
        else
        {
            var hits = _document.Anchor!.Measures?.Hits;
            anchor = new(hits is null ? null : [.. hits.Select(hit => hit.Frame)], _document.Anchor.FrequencyHz, IsHeard: true);
            heard.AddRange([two, one]);
        }

        var parts = _readers.Keys.Where(part => part != WholeSong && part != name && after._readers.ContainsKey(part) && (_treated.Contains(part) || after._treated.Contains(part))).Order(StringComparer.Ordinal).ToList();
        foreach (var part in parts)
            heard.AddRange([after._readers[part], _readers[part]]);
        return (new(heard[0].Format.SampleRateHz, [.. heard.Select(reader => reader.Format.Channels)], BlockFrames, anchor, parts.ConvertAll(part => new ComparedPart(part))) { NoAnchor = reason }, heard);
    }
}
