module stoppuhr #(parameter TEILER = 10) (
  input takt, input ruecksetzen, input taste, output reg [5:0] sekunden, output reg [5:0] minuten);
  reg [2:0] gesehen;
  reg laeuft;
  reg [7:0] teile;
  wire gedrueckt = gesehen[1] & ~gesehen[2];
  always @(posedge takt) gesehen <= {gesehen[1:0], taste};
  always @(posedge takt or posedge ruecksetzen)
    if (ruecksetzen) laeuft <= 1'b0;
    else if (gedrueckt && !(teile == TEILER - 1 && sekunden == 59)) laeuft <= ~laeuft;
  always @(posedge takt or posedge ruecksetzen)
    if (ruecksetzen) begin teile <= 0; sekunden <= 0; minuten <= 0; end
    else if (laeuft) begin
      teile <= (teile == TEILER - 1) ? 8'd0 : teile + 8'd1;
      if (teile == TEILER - 1) begin
        sekunden <= (sekunden == 59) ? 6'd0 : sekunden + 6'd1;
        if (sekunden == 59) minuten <= (minuten == 59) ? 6'd0 : minuten + 6'd1;
      end
    end
endmodule
