using System.Text.Json;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Rendering;
using RenderGraph.Nodes.Measures.Speakers;

namespace RenderGraph.Cli.Commands;

/// <summary>What the nodes that are there for small speakers do for them: how loud a sound is on each of these before and after.</summary>
internal sealed class SpeakerReport
{
    private readonly List<Row> _rows;

    public SpeakerReport(GraphDocument document, RenderResult result)
    {
        var paths = new GraphPaths(document);
        _rows =
        [
            .. from node in paths.Nodes
               where !node.Bypass && node.Type.ComparedBy.Contains(SpeakerMeter.Names[0])
               from before in paths.HeardBy(node).Take(1)
               from hz in SmallSpeaker.CornersHz
               let row = new Row(
                   node.Id, hz, Find(before, SpeakerMeter.Loudness(hz)), Find(node.Id, SpeakerMeter.Loudness(hz)), Find(before, SpeakerMeter.Loss(hz)), Find(node.Id, SpeakerMeter.Loss(hz)))
               where row.BeforeLufs is not null || row.AfterLufs is not null
               select row,
        ];

        double? Find(string name, string measure) => result.Measures
            .FirstOrDefault(point => point.Point is { Kind: PointKind.Signal, During: null, AtHits: false, IsUntreated: false } && point.Point.Name == name)
            ?.Measurements.FirstOrDefault(measurement => measurement.Name == measure)?.Value;
    }

    public void WriteText(TextWriter writer, int widthColumns)
    {
        if (_rows.Count == 0)
            return;
        var table = new TextTable("heard on a small speaker", "falling below", ">before", ">after", ">change", ">lost there, before", ">after");
        foreach (var row in _rows)
        {
            table.Add(
                row.Node, $"{Say.Whole((long)row.SpeakerHz)} Hz", Lufs(row.BeforeLufs), Lufs(row.AfterLufs),
                row is { BeforeLufs: { } before, AfterLufs: { } after } ? $"{Signed(after - before)} LU" : "-", Lu(row.BeforeLossLu), Lu(row.AfterLossLu));
        }

        table.WriteTo(writer, widthColumns);
        writer.WriteLine();
    }

    public void WriteJson(Utf8JsonWriter json) => json.WriteObjects("smallSpeakers", _rows, row =>
    {
        json.WriteString("node", row.Node);
        json.WriteNumber("speakerHz", row.SpeakerHz);
        json.WriteRounded("beforeLufs", row.BeforeLufs);
        json.WriteRounded("afterLufs", row.AfterLufs);
        json.WriteRounded("beforeLossLu", row.BeforeLossLu);
        json.WriteRounded("afterLossLu", row.AfterLossLu);
    });

    /// <summary>What is softer than the gate is not heard.</summary>
    private static string Lufs(double? value) => value is { } lufs ? $"{Say.Decimal(lufs)} LUFS" : "not heard";

    private static string Lu(double? value) => value is { } lu ? $"{Say.Decimal(lu)} LU" : "-";

    private static string Signed(double value) => value >= 0.05 ? "+" + Say.Decimal(value) : Say.Decimal(value);

    private sealed record Row(string Node, double SpeakerHz, double? BeforeLufs, double? AfterLufs, double? BeforeLossLu, double? AfterLossLu);
}
