module temporizador #(parameter FRECUENCIA = 100) (input reloj, input reinicio_n, input pausa,
   output reg [5:0] segundos, output reg [5:0] minutos);
   reg [6:0] cuenta;
   always @(posedge reloj or negedge reinicio_n)
     if (!reinicio_n) begin cuenta <= 0; segundos <= 0; minutos <= 0; end
     else if (!pausa) begin
       if (cuenta == FRECUENCIA - 1) begin
         cuenta <= 0;
         if (segundos == 59) begin
           segundos <= 0;
           minutos <= (minutos == 59) ? 0 : minutos + 1;
         end else segundos <= segundos + 1;
       end else cuenta <= cuenta + 1;
     end
endmodule
