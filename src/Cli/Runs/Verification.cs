using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Locks;
using RenderGraph.Graph.Measuring;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Cli.Runs;

/// <summary>A graph rendered once more, into a temporary folder, and held against its lock and against the files that were rendered then. Touches nothing.</summary>
/// <param name="Title">The song's name.</param>
/// <param name="SampleRateHz">Of the outputs.</param>
/// <param name="Reasons">What has changed since, besides outputs.</param>
/// <param name="Outputs">In the order of the lock; then what it does not know.</param>
internal sealed record Verification(string Title, int SampleRateHz, IReadOnlyList<StaleReason> Reasons, IReadOnlyList<VerifiedOutput> Outputs)
{
    /// <summary>Whether every output came out as the lock has it, and none that is there was altered.</summary>
    public bool IsSame => Outputs.All(output => output.IsSame && output.OnDisk != FileState.Altered);

    /// <summary>Renders and compares; null, after noting why, if that cannot be.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static Verification? Run(RunOrder order, RunSetting setting, DiagnosticList diagnostics, Func<int, Func<Action<RenderProgress>?, RenderResult>, RenderResult> watch)
    {
        if (order.Graph.Read(setting.Catalog, diagnostics) is not { } document || diagnostics.HasErrors || RunLock.Open(order, document, setting, diagnostics) is not { } held)
            return null;
        var reasons = held.Reasons.Where(reason => !reason.IsOnlyAnOutput).ToList();
        if (held.Previous is not { } locked)
        {
            diagnostics.Add(new(DiagnosticCode.LockDiffers, Say.Path(held.LockPath), default, reasons[0].Sentence, "Render it first: what has not been written down cannot be verified"));
            return null;
        }

        using var open = OpenGraph.Open(order, document, held.Anchor, setting, diagnostics);
        if (open is null)
            return null;
        var folder = Directory.CreateTempSubdirectory("rendergraph-");
        try
        {
            var targets = open.Loaded.Targets.ToDictionary(target => target.Key, target => Path.Combine(folder.FullName, held.FileOf(target.Value)), StringComparer.Ordinal);
            var result = watch(open.Plan.SampleRateHz, progress => Renderer.Render(open.Plan, open.Loaded.Stems.Readers, targets, setting.Files, order.Options, progress, setting.Cancellation));
            var contents = ContentHash.OfFiles([.. result.Outputs.Select(output => output.Path)], order.Options.ThreadCount, setting.Cancellation);
            var made = result.Outputs.Zip(contents).ToDictionary(output => held.FileOf(open.Loaded.Targets[output.First.Output]), output => (output.First, output.Second), StringComparer.Ordinal);
            var outputs = new List<VerifiedOutput>();
            foreach (var was in locked.Outputs)
            {
                var path = held.PathOf(was.File);
                var now = ContentHash.OfFile(path, setting.Cancellation);
                var onDisk = now is null ? FileState.Missing : now == was.Content ? FileState.AsRendered : FileState.Altered;
                if (!made.TryGetValue(was.File, out var again))
                    outputs.Add(new(was.File, path, IsSame: false, onDisk, null, IsRendered: false));
                else
                    outputs.Add(new(was.File, path, again.Second == was.Content, onDisk, now is null || now == again.Second ? null : Compare(path, again.First.Path, setting), IsRendered: true));
            }

            outputs.AddRange(made.Keys.Where(file => locked.Outputs.All(was => was.File != file)).Select(file => new VerifiedOutput(file, held.PathOf(file), IsSame: false, FileState.Unknown, null, IsRendered: true)));
            return new(open.Title, open.Plan.SampleRateHz, reasons, outputs);
        }
        catch (StemException failure)
        {
            diagnostics.Add(new(failure.Code, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
        }
        catch (OutputException failure)
        {
            diagnostics.Add(new(DiagnosticCode.OutputUnwritable, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
        }
        finally
        {
            try
            {
                folder.Delete(recursive: true);
            }
            catch (IOException)
            {
                // A file in it is still looked at by another program; the system clears its temporary folder.
            }
        }

        return null;
    }

    /// <summary>What the file there and the one rendered now have against each other; null if no sample of the two can be compared.</summary>
    private static SampleDifference? Compare(string there, string again, RunSetting setting)
    {
        try
        {
            using var one = setting.Files.OpenStem(new(there), (_, _, _, _) => { });
            using var other = setting.Files.OpenStem(new(again), (_, _, _, _) => { });
            return one is null || other is null ? null : SampleDifference.Between(one, other, setting.Cancellation);
        }
        catch (StemException)
        {
            return null; // what was altered need not be sound any more
        }
    }
}

/// <summary>One output, rendered once more.</summary>
/// <param name="File">From the folder of the outputs.</param>
/// <param name="Path">Full path.</param>
/// <param name="IsSame">Whether it came out with the bytes that the lock has.</param>
/// <param name="OnDisk">How the file is that was rendered then.</param>
/// <param name="Difference">Between the file that is there and what was rendered now; null if they are the same, or if no sample has a counterpart.</param>
/// <param name="IsRendered">Whether the graph still has it.</param>
internal sealed record VerifiedOutput(string File, string Path, bool IsSame, FileState OnDisk, SampleDifference? Difference, bool IsRendered);

/// <summary>How a file is that was rendered earlier.</summary>
internal enum FileState
{
    /// <summary>As the lock has it.</summary>
    AsRendered,

    /// <summary>It is there, but not what was rendered.</summary>
    Altered,

    /// <summary>It is not there.</summary>
    Missing,

    /// <summary>The lock knows no such file.</summary>
    Unknown,
}
