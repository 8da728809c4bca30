using System.Text.Json;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Rendering;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Nodes.Measures.Limiting;

namespace RenderGraph.Cli.Commands;

/// <summary>How much louder the treated song can go than the untreated one under the ceiling of an output, the limiter working equally in both.</summary>
internal sealed class LouderReport
{
    private readonly List<Row> _rows;

    public LouderReport(GraphDocument document, RenderResult result)
    {
        _rows =
        [
            .. from output in document.Outputs
               from treatment in output.Treatments
               where treatment.Type == LimitNode.Type && treatment.Body.Members[0].Value is JsonNumber
               let ceilingDbtp = ((JsonNumber)treatment.Body.Members[0].Value).Value
               select new Row(
                   output.Id, ceilingDbtp, Find(output, isUntreated: true, LimitedLoudnessMeter.Loudness) + ceilingDbtp, Find(output, isUntreated: false, LimitedLoudnessMeter.Loudness) + ceilingDbtp,
                   Find(output, isUntreated: true, LimitedLoudnessMeter.Drive) + ceilingDbtp, Find(output, isUntreated: false, LimitedLoudnessMeter.Drive) + ceilingDbtp),
        ];
        _rows.RemoveAll(row => row.LouderByLu is null);

        double? Find(OutputEntry output, bool isUntreated, string measure) => result.Measures
            .FirstOrDefault(point => point.Point is { Kind: PointKind.Output, During: null } && point.Point.IsUntreated == isUntreated && point.Point.Name == output.Id)
            ?.Measurements.FirstOrDefault(measurement => measurement.Name == measure)?.Value;
    }

    /// <summary>What the figures mean; null if there are none.</summary>
    public string? Rule => _rows.Count == 0
        ? null
        : $"How loud a song can go is told with a limiter that takes {Say.Decimal(LimitedLoudnessMeter.WorkDb)} dB or more in a twentieth of it (95th percentile), under the output's ceiling, treated and untreated alike. It is worked out "
            + "beside the render; nothing is made louder by it.";

    public void WriteText(TextWriter writer, int widthColumns)
    {
        if (_rows.Count == 0)
            return;
        var table = new TextTable("with equal work of the limiter", ">under", ">untreated goes to", ">treated goes to", ">louder by");
        foreach (var row in _rows)
        {
            table.Add(
                row.Output, $"{Say.Decimal(row.CeilingDbtp)} dBTP", $"{Say.Decimal(row.UntreatedLufs!.Value)} LUFS", $"{Say.Decimal(row.TreatedLufs!.Value)} LUFS",
                $"{(row.LouderByLu >= 0.05 ? "+" : "")}{Say.Decimal(row.LouderByLu!.Value)} LU");
        }

        table.WriteTo(writer, widthColumns);
        writer.WriteLine();
    }

    public void WriteJson(Utf8JsonWriter json) => json.WriteObjects("louder", _rows, row =>
    {
        json.WriteString("output", row.Output);
        json.WriteNumber("ceilingDbtp", row.CeilingDbtp);
        json.WriteNumber("reduction95Db", LimitedLoudnessMeter.WorkDb);
        json.WriteRounded("untreatedLufs", row.UntreatedLufs);
        json.WriteRounded("treatedLufs", row.TreatedLufs);
        json.WriteRounded("louderByLu", row.LouderByLu);
        json.WriteRounded("untreatedDriveDb", row.UntreatedDriveDb);
        json.WriteRounded("treatedDriveDb", row.TreatedDriveDb);
    });

    private sealed record Row(string Output, double CeilingDbtp, double? UntreatedLufs, double? TreatedLufs, double? UntreatedDriveDb, double? TreatedDriveDb)
    {
        public double? LouderByLu => TreatedLufs - UntreatedLufs;
    }
}
